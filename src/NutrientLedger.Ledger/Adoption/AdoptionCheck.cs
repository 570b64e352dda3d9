using System.Collections.Immutable;
using System.Text.RegularExpressions;
using NutrientLedger.Journal;
using NutrientLedger.Journal.Sampling;
using NutrientLedger.Ledger.Configuration;

namespace NutrientLedger.Ledger.Adoption;

/// <summary>Whether a calibration may be adopted: the event that adopts it, or all problems that prevent it.</summary>
public sealed partial record AdoptionCheck(CalibrationAdopted? Calibration, ImmutableArray<AdoptionProblem> Problems)
{
    /// <summary>Far beyond any sensor that is worth correcting. It catches slips of the pen.</summary>
    public const decimal SlopeMax = 10;

    /// <summary>The intercept lies between this and its negative, in mg/L or parts per million.</summary>
    public const decimal InterceptMax = 1_000_000;

    private const decimal Millionths = 1_000_000;
    private const decimal Thousandths = 1000;

    /// <summary>Checks a candidate under the configuration of a registered farm.</summary>
    public static AdoptionCheck Of(CalibrationCandidate candidate, FarmConfiguration configuration, Adopter adopter)
    {
        ImmutableArray<AdoptionProblem> problems =
        [
            .. Identity(candidate, adopter),
            .. Subject(candidate, configuration),
            .. Numbers(candidate),
            .. Times(candidate, configuration.Calendar!),
            .. Reports(candidate, configuration.LabReports),
        ];
        if (problems.IsEmpty && adopter != Adopter.Rule)
            problems = [.. Id(candidate.CalibrationId!, configuration)];
        return new(problems.IsEmpty ? EventOf(candidate) : null, problems);
    }

    private static IEnumerable<AdoptionProblem> Identity(CalibrationCandidate candidate, Adopter adopter)
    {
        if (string.IsNullOrWhiteSpace(candidate.CalibrationId))
            yield return new(AdoptionProblemCode.IdMissing);
        else if (!IdForm().IsMatch(candidate.CalibrationId))
            yield return new(AdoptionProblemCode.IdInvalid);
        if (adopter == Adopter.Person && string.IsNullOrWhiteSpace(candidate.By))
            yield return new(AdoptionProblemCode.AdopterMissing);
        if (adopter != Adopter.Rule && string.IsNullOrWhiteSpace(candidate.Reason))
            yield return new(AdoptionProblemCode.ReasonMissing);
    }

    private static IEnumerable<AdoptionProblem> Subject(CalibrationCandidate candidate, FarmConfiguration configuration)
    {
        if (configuration.Sensors.All(sensor => sensor.SensorId != candidate.SensorId))
            yield return new(AdoptionProblemCode.SensorUnknown);
        if (candidate.PitId is { } pit && configuration.Pit(pit) is null)
            yield return new(AdoptionProblemCode.PitUnknown);
        if (candidate.Analyte is not { } analyte || !Enum.IsDefined(analyte))
            yield return new(AdoptionProblemCode.AnalyteUnknown);
    }

    private static IEnumerable<AdoptionProblem> Numbers(CalibrationCandidate candidate)
    {
        if (candidate.InterceptInOtherUnit is not null)
            yield return new(AdoptionProblemCode.InterceptInOtherUnit);
        var (slope, intercept) = (candidate.Slope ?? 1, candidate.Intercept ?? 0);
        if (slope is <= 0 or > SlopeMax || !IsWhole(slope * Millionths))
            yield return new(AdoptionProblemCode.SlopeOutOfRange);
        if (Math.Abs(intercept) > InterceptMax || !IsWhole(intercept * Thousandths))
            yield return new(AdoptionProblemCode.InterceptOutOfRange);
    }

    private static IEnumerable<AdoptionProblem> Times(CalibrationCandidate candidate, FarmCalendar calendar)
    {
        if (candidate.ValidFrom is null)
            yield return new(AdoptionProblemCode.ValidFromMissing);
        if (!IsHourStart(candidate.ValidFrom, calendar))
            yield return new(AdoptionProblemCode.ValidFromWithinHour);
        if (!IsHourStart(candidate.ValidTo, calendar))
            yield return new(AdoptionProblemCode.ValidToWithinHour);
        if (candidate.ValidTo <= candidate.ValidFrom)
            yield return new(AdoptionProblemCode.ValidToNotAfterFrom);
    }

    private static IEnumerable<AdoptionProblem> Reports(CalibrationCandidate candidate, LabReports known)
    {
        foreach (var id in candidate.ReportIds)
            if (known.Find(id) is not { } report)
                yield return new(AdoptionProblemCode.ReportUnknown, id);
            else if (report.SupersededBy is { } later)
                yield return new(AdoptionProblemCode.ReportSuperseded, id, later);
    }

    private static IEnumerable<AdoptionProblem> Id(string id, FarmConfiguration configuration)
    {
        if (id.StartsWith(AdoptionRuling.IdStart, StringComparison.Ordinal))
            yield return new(AdoptionProblemCode.IdReserved);
        else if (configuration.Recorded<IJournalEvent>().Any(it => Calibrations.Adoption(it)?.CalibrationId == id))
            yield return new(AdoptionProblemCode.IdTaken);
    }

    private static CalibrationAdopted EventOf(CalibrationCandidate candidate) =>
        new(
            candidate.CalibrationId!,
            candidate.SensorId!,
            candidate.Analyte!.Value,
            (long)((candidate.Slope ?? 1) * Millionths),
            (long)((candidate.Intercept ?? 0) * Thousandths),
            candidate.ValidFrom!.Value,
            candidate.ValidTo,
            candidate.PitId,
            [.. candidate.ReportIds],
            candidate.By ?? "",
            candidate.Reason ?? ""
        );

    /// <summary>What the address of a withdrawal can hold.</summary>
    [GeneratedRegex("^[A-Za-z0-9][A-Za-z0-9_-]{0,99}\\z")]
    private static partial Regex IdForm();

    private static bool IsWhole(decimal number) => number == decimal.Truncate(number);

    private static bool IsHourStart(DateTimeOffset? moment, FarmCalendar calendar) =>
        moment is not { } at
        || (
            at.Ticks % TimeSpan.TicksPerSecond == 0
            && calendar.HourStartSeconds(at.ToUnixTimeMilliseconds()) == at.ToUnixTimeSeconds()
        );
}
