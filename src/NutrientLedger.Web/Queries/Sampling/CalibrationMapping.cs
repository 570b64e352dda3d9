using System.Text.Json;
using NutrientLedger.Journal.Sampling;
using NutrientLedger.Ledger.Adoption;
using NutrientLedger.Ledger.Corrections;
using NutrientLedger.Persistence.Configuration;
using NutrientLedger.Web.Contracts.Sampling;
using NutrientLedger.Web.Queries.Fields;

namespace NutrientLedger.Web.Queries.Sampling;

/// <summary>Maps calibration requests, and the calibrations in the journal.</summary>
internal static class CalibrationMapping
{
    private const decimal Millionths = 1_000_000;
    private const decimal Thousandths = 1000;

    private static readonly Dictionary<string, Analyte> Analytes = Enum.GetValues<Analyte>().ToDictionary(Word);

    /// <summary>The words of all analytes.</summary>
    public static IEnumerable<string> Words => Analytes.Keys;

    /// <summary>The candidate of a request, not yet checked; an unknown analyte becomes null.</summary>
    public static CalibrationCandidate Candidate(CalibrationRequest request) =>
        new(
            request.Calibration,
            request.Sensor,
            Named(request.Analyte),
            request.Slope,
            request.InterceptMilligramsPerLitre,
            request.InterceptPartsPerMillion,
            request.ValidFrom,
            request.ValidTo,
            request.Pit,
            [.. (request.LabReports ?? []).Select(id => id ?? "")],
            request.By,
            request.Reason
        );

    /// <summary>The request for a candidate.</summary>
    public static CalibrationRequest Request(CalibrationCandidate candidate) =>
        new(
            candidate.CalibrationId,
            candidate.SensorId,
            candidate.Analyte is { } analyte ? Word(analyte) : null,
            candidate.Slope,
            candidate.InterceptMilligramsPerLitre,
            candidate.InterceptPartsPerMillion,
            candidate.ValidFrom,
            candidate.ValidTo,
            candidate.PitId,
            candidate.ReportIds,
            candidate.By,
            candidate.Reason
        );

    /// <summary>All calibrations ever adopted, with withdrawals and replacements.</summary>
    public static IEnumerable<CalibrationResponse> All(ConfigurationSnapshot at) =>
        CalibrationHistory
            .Of([.. at.Events.Select(recorded => recorded.Event)])
            .Select(past => Response(past, at.Events));

    private static CalibrationResponse Response(PastAdoption past, IReadOnlyList<RecordedEvent> events)
    {
        var (adopted, recorded) = (past.Calibration, events[past.Place]);
        var intercept = adopted.InterceptThousandths / Thousandths;
        var isDryMatter = adopted.Analyte == Analyte.DryMatter;
        return new(
            adopted.CalibrationId,
            recorded.Position,
            recorded.RecordedAt,
            adopted.SensorId,
            Word(adopted.Analyte),
            adopted.SlopeMillionths / Millionths,
            isDryMatter ? null : intercept,
            isDryMatter ? intercept : null,
            adopted.ValidFrom,
            adopted.ValidTo,
            adopted.PitId,
            adopted.ReportIds,
            adopted.By,
            adopted.Reason,
            past.Withdrawal?.By,
            past.Withdrawal?.Reason,
            past.ReplacedAt is { } next ? events[next].Position : null
        );
    }

    public static ChangeResponse Change(ChangedSpread change) =>
        new(
            change.FieldId.Length > 0 ? change.FieldId : null,
            change.Season,
            change.PitId.Length > 0 ? change.PitId : null,
            change.After.VolumeCubicMetres,
            change.Before.FlaggedShare,
            change.After.FlaggedShare,
            FieldMapping.Elemental(change.Before),
            FieldMapping.Elemental(change.After)
        );

    /// <summary>The word for an analyte in requests, responses and files.</summary>
    public static string Word(Analyte analyte) => JsonNamingPolicy.CamelCase.ConvertName(analyte.ToString());

    /// <summary>The analyte of a word, or null.</summary>
    public static Analyte? Named(string? word) => Analytes.TryGetValue(word ?? "", out var analyte) ? analyte : null;
}
