using System.Text.Json;
using NutrientLedger.Journal.Sampling;
using NutrientLedger.Ledger.Configuration;
using NutrientLedger.Ledger.Corrections;
using NutrientLedger.Persistence.Configuration;
using NutrientLedger.Web.Contracts.Sampling;
using NutrientLedger.Web.Queries.Fields;

namespace NutrientLedger.Web.Queries.Sampling;

/// <summary>What is wrong with one property of a calibration that is asked for.</summary>
internal sealed record CalibrationError(string Property, string Fix);

/// <summary>Reads the calibrations that people ask for and writes out those that stand in the journal.</summary>
internal static class CalibrationMapping
{
    private const decimal Millionths = 1_000_000;
    private const decimal Thousandths = 1000;

    // Far beyond any sensor that is worth correcting; a slip of the pen is caught here.
    private const decimal SlopeMax = 10;
    private const decimal InterceptMax = 1_000_000;

    /// <summary>The entry that a question asks for, or everything that keeps it from being one.</summary>
    public static (CalibrationAdopted? Entry, IReadOnlyList<CalibrationError> Faults) Read(
        CalibrationRequest request,
        FarmConfiguration configuration,
        bool isStored
    )
    {
        var faults = new List<CalibrationError>();
        Need("calibration", request.Calibration, "a new id, such as nir-1-nitrogen-2026");
        // A preview adopts nothing, so nobody need stand for it.
        if (isStored)
            Need("by", request.By, "who adopts it");
        Need("reason", request.Reason, "the reason for this calibration");
        string[] sensors = [.. configuration.Sensors.Select(sensor => sensor.SensorId).Distinct()];
        Require(sensors.Contains(request.Sensor), "sensor", $"name one of {string.Join(", ", sensors)}");
        Require(
            request.Pit is null || configuration.Pit(request.Pit) is not null,
            "pit",
            $"name one of {string.Join(", ", configuration.Pits.Select(pit => pit.PitId))}, or leave it out for all"
        );
        var analytes = Enum.GetValues<Analyte>().ToDictionary(Word);
        Require(
            analytes.TryGetValue(request.Analyte ?? "", out var analyte),
            "analyte",
            $"write one of {string.Join(", ", analytes.Keys)}"
        );
        var isDryMatter = analyte == Analyte.DryMatter;
        var (inUnit, inOther) = ("interceptMilligramsPerLitre", "interceptPartsPerMillion");
        if (isDryMatter)
            (inUnit, inOther) = (inOther, inUnit);
        Require(
            (isDryMatter ? request.InterceptMilligramsPerLitre : request.InterceptPartsPerMillion) is null,
            inOther,
            "use interceptPartsPerMillion for dry matter and interceptMilligramsPerLitre for nutrients"
        );
        var intercept = (isDryMatter ? request.InterceptPartsPerMillion : request.InterceptMilligramsPerLitre) ?? 0;
        var slope = request.Slope ?? 1;
        Require(
            slope is > 0 and <= SlopeMax && IsWhole(slope * Millionths),
            "slope",
            $"write a number above 0 and up to {SlopeMax}, with at most six decimals"
        );
        Require(
            Math.Abs(intercept) <= InterceptMax && IsWhole(intercept * Thousandths),
            inUnit,
            "write a number from -1000000 to 1000000, with at most three decimals"
        );
        const string wholeHour = "write a full hour in farm time";
        Require(
            request.ValidFrom is not null,
            "validFrom",
            "write the first hour it applies to, such as 2026-04-21T14:00:00Z"
        );
        Require(IsFarmHour(request.ValidFrom), "validFrom", wholeHour);
        Require(IsFarmHour(request.ValidTo), "validTo", wholeHour);
        Require(!(request.ValidTo <= request.ValidFrom), "validTo", "write a time after validFrom, or leave it out");
        foreach (var id in request.LabReports ?? [])
            if (configuration.LabReports.Find(id) is not { } report)
                faults.Add(
                    new("labReports", $"there is no laboratory report {id}; enter it first with POST lab-results")
                );
            else if (report.SupersededBy is { } later)
                faults.Add(new("labReports", $"{id} was replaced by {later}; use that one"));
        if (faults.Count > 0)
            return (null, faults);
        return (
            new(
                request.Calibration!,
                request.Sensor!,
                analyte,
                (long)(slope * Millionths),
                (long)(intercept * Thousandths),
                request.ValidFrom!.Value,
                request.ValidTo,
                request.Pit,
                [.. request.LabReports ?? []],
                request.By ?? "",
                request.Reason!
            ),
            faults
        );

        void Need(string name, string? text, string what) =>
            Require(!string.IsNullOrWhiteSpace(text), name, $"write {what}");

        void Require(bool sound, string property, string whatToDo)
        {
            if (!sound)
                faults.Add(new(property, whatToDo));
        }

        bool IsFarmHour(DateTimeOffset? moment) =>
            moment is not { } at
            || (
                at.Ticks % TimeSpan.TicksPerSecond == 0
                && configuration.Calendar!.HourStartSeconds(at.ToUnixTimeMilliseconds()) == at.ToUnixTimeSeconds()
            );
    }

    /// <summary>Everything ever adopted, with what became of it.</summary>
    public static IEnumerable<CalibrationResponse> All(ConfigurationSnapshot at)
    {
        foreach (var recorded in at.Events)
            if (Calibrations.Adoption(recorded.Event) is { } adopted)
            {
                var withdrawal = at.Events.FirstOrDefault(later =>
                    later.Version > recorded.Version
                    && later.Event is CalibrationWithdrawn taken
                    && taken.CalibrationId == adopted.CalibrationId
                );
                var next = at.Events.FirstOrDefault(later =>
                    later.Version > recorded.Version
                    && Calibrations.Adoption(later.Event)?.CalibrationId == adopted.CalibrationId
                );
                // What was taken back before the next one came was not replaced by it.
                var isReplaced = next is not null && !(withdrawal?.Version < next.Version);
                var withdrawn = (CalibrationWithdrawn?)withdrawal?.Event;
                var intercept = adopted.InterceptThousandths / Thousandths;
                var isDryMatter = adopted.Analyte == Analyte.DryMatter;
                yield return new(
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
                    withdrawn?.By,
                    withdrawn?.Reason,
                    isReplaced ? next!.Position : null
                );
            }
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

    public static string Word(Analyte analyte) => JsonNamingPolicy.CamelCase.ConvertName(analyte.ToString());

    private static bool IsWhole(decimal number) => number == decimal.Truncate(number);
}
