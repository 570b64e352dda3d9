using NutrientLedger.Journal.Sampling;
using NutrientLedger.Ledger.Configuration;
using NutrientLedger.Ledger.Sampling;

namespace NutrientLedger.Ledger.Adoption;

/// <summary>
/// A calibration that somebody would adopt. Nothing in it is checked yet. It means slope × reading + intercept. The
/// intercept has two units: mg/L for nutrients (elemental), parts per million of fresh mass for dry matter. A missing
/// slope means 1, a missing intercept 0.
/// </summary>
public sealed record CalibrationCandidate(
    string? CalibrationId,
    string? SensorId,
    Analyte? Analyte,
    decimal? Slope,
    decimal? InterceptMilligramsPerLitre,
    decimal? InterceptPartsPerMillion,
    DateTimeOffset? ValidFrom,
    DateTimeOffset? ValidTo,
    string? PitId,
    IReadOnlyList<string> ReportIds,
    string? By,
    string? Reason
)
{
    /// <summary>A slope is kept in millionths.</summary>
    public const int SlopeDecimals = 6;

    /// <summary>An intercept is kept in thousandths of its unit.</summary>
    public const int InterceptDecimals = 3;

    /// <summary>The intercept in the unit of the analyte. That of nutrients where no analyte is known.</summary>
    public decimal? Intercept => IsDryMatter ? InterceptPartsPerMillion : InterceptMilligramsPerLitre;

    /// <summary>An intercept in the unit that does not belong to the analyte. Null when all is well.</summary>
    public decimal? InterceptInOtherUnit => IsDryMatter ? InterceptMilligramsPerLitre : InterceptPartsPerMillion;

    /// <summary>Whether the unit of the intercept is parts per million.</summary>
    public bool IsDryMatter => Analyte == Journal.Sampling.Analyte.DryMatter;

    /// <summary>
    /// What the pairs of a sensor and analyte propose: for all pits, from the farm hour of the first pair on, without
    /// an end. Its id, adopter and reason are left open. Null where the pairs propose nothing.
    /// </summary>
    public static CalibrationCandidate? Proposed(
        FarmConfiguration configuration,
        string sensorId,
        Analyte analyte,
        SensorCheck check
    )
    {
        if (check.Proposed is not { } proposed || configuration.Calendar is not { } calendar)
            return null;
        var first = check.Pairs.Min(pair => pair.Window.FromMilliseconds);
        var intercept = Math.Round((decimal)proposed.Intercept, InterceptDecimals);
        var isDryMatter = analyte == Journal.Sampling.Analyte.DryMatter;
        return new(
            CalibrationId: null,
            sensorId,
            analyte,
            Math.Round((decimal)proposed.Slope, SlopeDecimals),
            isDryMatter ? null : intercept,
            isDryMatter ? intercept : null,
            calendar.ToFarmTime(calendar.HourStartSeconds(first) * 1000),
            ValidTo: null,
            PitId: null,
            [.. check.Pairs.SelectMany(pair => pair.ReportIds)],
            By: null,
            Reason: null
        );
    }
}
