using System.Collections.Immutable;
using NutrientLedger.Journal.Sampling;
using NutrientLedger.Journal.Spreading;
using NutrientLedger.Ledger.Configuration;

namespace NutrientLedger.Ledger.Sampling;

/// <summary>What a reader should know before trusting the pairs of a sensor.</summary>
public enum PairCaveatKind
{
    NoPairs = 1,

    /// <summary>Fewer than <see cref="SensorCheck.DaysMin"/> days: nothing is tested or proposed.</summary>
    TooFewDays = 2,

    /// <summary>Where all laboratory or all sensor values are alike nothing is tested, with however many.</summary>
    AllAlike = 3,

    /// <summary>
    /// Fewer days than <see cref="SensorCheck.SlopeDaysMin"/> or fewer pairs than
    /// <see cref="SensorCheck.SlopePairsMin"/>: no slope is tested.
    /// </summary>
    BiasOnly = 4,

    /// <summary>Fewer days than <see cref="SensorCheck.FewDaysBelow"/>: smaller errors stay hidden.</summary>
    FewDays = 5,

    /// <summary>The differences can be chance.</summary>
    NothingProposed = 6,

    /// <summary>Much of what would be corrected was read outside the sensor's range in the pairs.</summary>
    OutsideRange = 7,

    /// <summary>The readings of these reports are shifted by the hose volume.</summary>
    ShiftedByHose = 8,

    /// <summary>The hose volume of these reports is not known, so their readings are not shifted.</summary>
    HoseNotKnown = 9,

    /// <summary>The sensor is or was at the pump without a known hose volume. No pair is affected.</summary>
    PumpWithoutHose = 10,

    /// <summary>A calibration is in force. The pairs are of readings before it.</summary>
    AlreadyCalibrated = 11,

    /// <summary>These reports are of samples that other reports are of too. Each sample counts once.</summary>
    SampleAgain = 12,
}

/// <summary>
/// One caveat, with the number of pairs and the laboratory reports concerned (none where it concerns all).
/// </summary>
public sealed record PairCaveat(PairCaveatKind Kind, int Pairs, ImmutableArray<string> ReportIds)
{
    /// <summary>All caveats of a sensor and analyte, in the order of display.</summary>
    public static IEnumerable<PairCaveat> Of(
        FarmConfiguration configuration,
        string sensorId,
        Analyte analyte,
        SensorCheck check
    )
    {
        var kinds = new List<(PairCaveatKind, ImmutableArray<string>)>();
        if (OfNumber(check) is { } number)
            kinds.Add((number, []));
        if (check is { Comparison: not null, Offset: not null, Proposed: null })
            kinds.Add((PairCaveatKind.NothingProposed, []));
        if (check.Readings is { IsTooMuch: true })
            kinds.Add((PairCaveatKind.OutsideRange, []));
        if (check.Pairs.SelectMany(pair => pair.FurtherReportIds).ToImmutableArray() is { IsEmpty: false } further)
            kinds.Add((PairCaveatKind.SampleAgain, further));
        if (WithLag(HoseLag.Shifted) is { IsEmpty: false } shifted)
            kinds.Add((PairCaveatKind.ShiftedByHose, shifted));
        if (WithLag(HoseLag.NotKnown) is { IsEmpty: false } unknown)
            kinds.Add((PairCaveatKind.HoseNotKnown, unknown));
        else if (
            configuration.Sensors.Any(mounted =>
                mounted is { Place: SensorPlace.AtPump, HoseMillilitres: null } && mounted.SensorId == sensorId
            )
        )
            kinds.Add((PairCaveatKind.PumpWithoutHose, []));
        if (configuration.Calibrations.Adopted.Any(it => it.SensorId == sensorId && it.Analyte == analyte))
            kinds.Add((PairCaveatKind.AlreadyCalibrated, []));
        return kinds.Select(it => new PairCaveat(it.Item1, check.Pairs.Count, it.Item2));

        ImmutableArray<string> WithLag(HoseLag lag) => Reports(check.Pairs.Where(pair => pair.Passed.Lag == lag));
    }

    private static PairCaveatKind? OfNumber(SensorCheck check) =>
        check switch
        {
            { Pairs.Count: 0 } => PairCaveatKind.NoPairs,
            { Days: < SensorCheck.DaysMin } => PairCaveatKind.TooFewDays,
            { Comparison: null } => PairCaveatKind.AllAlike,
            { Line: null } => PairCaveatKind.BiasOnly,
            { Days: < SensorCheck.FewDaysBelow } => PairCaveatKind.FewDays,
            _ => null,
        };

    private static ImmutableArray<string> Reports(IEnumerable<SamplePair> pairs) =>
        [.. pairs.Select(pair => pair.Window.Result.ReportId)];
}
