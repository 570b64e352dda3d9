namespace NutrientLedger.Ledger.Lines;

/// <summary>
/// The amounts of one ledger line. All are whole numbers and additive: any order and grouping of the same intervals
/// gives the same line. Volumes are in mL, area is in cm². Last measured is in ms since 1970 (0 when nothing was
/// spread).
/// </summary>
public sealed record LineAmounts
{
    public static readonly LineAmounts None = new();

    /// <summary>Spread with the tool engaged, at a known place.</summary>
    public long VolumeMillilitres { get; init; }

    /// <summary>Metered at a known place with the tool not engaged.</summary>
    public long DisengagedMillilitres { get; init; }

    /// <summary>Metered, but between readings too far apart in time or place to give a place.</summary>
    public long NotPlacedMillilitres { get; init; }

    /// <summary>Engaged volume from readings that a rule flags.</summary>
    public long FlaggedMillilitres => Flagged[FlagRule.Any].Millilitres;

    /// <summary>What comes from flagged readings, rule by rule.</summary>
    public FlaggedParts Flagged { get; init; } = FlaggedParts.None;

    /// <summary>
    /// The part spread inside no-spread zones: volume, intervals and contents, without area. Null when there is none.
    /// </summary>
    public LineAmounts? InNoSpreadZones =>
        Flagged[FlagRule.InsideNoSpreadZone] is { Intervals: > 0 } part
            ? new()
            {
                VolumeMillilitres = part.Millilitres,
                Intervals = part.Intervals,
                DryMatter = part.DryMatter,
                TotalNitrogen = part.TotalNitrogen,
                AmmoniumNitrogen = part.AmmoniumNitrogen,
                Phosphorus = part.Phosphorus,
                Potassium = part.Potassium,
            }
            : null;

    /// <summary>Intervals of unknown volume: a meter reset, or neither total nor flow.</summary>
    public long UnknownIntervals { get; init; }

    /// <summary>Engaged intervals posted.</summary>
    public long Intervals { get; init; }

    public long AreaTravelledSquareCentimetres { get; init; }

    public long LastMeasuredAtMilliseconds { get; init; }

    public AnalyteSums DryMatter { get; init; }

    public AnalyteSums TotalNitrogen { get; init; }

    public AnalyteSums AmmoniumNitrogen { get; init; }

    public AnalyteSums Phosphorus { get; init; }

    public AnalyteSums Potassium { get; init; }

    /// <exception cref="OverflowException">No hub can take as many readings as this needs.</exception>
    public static LineAmounts operator +(LineAmounts left, LineAmounts right) =>
        new()
        {
            VolumeMillilitres = checked(left.VolumeMillilitres + right.VolumeMillilitres),
            DisengagedMillilitres = checked(left.DisengagedMillilitres + right.DisengagedMillilitres),
            NotPlacedMillilitres = checked(left.NotPlacedMillilitres + right.NotPlacedMillilitres),
            Flagged = left.Flagged + right.Flagged,
            UnknownIntervals = left.UnknownIntervals + right.UnknownIntervals,
            Intervals = left.Intervals + right.Intervals,
            AreaTravelledSquareCentimetres = left.AreaTravelledSquareCentimetres + right.AreaTravelledSquareCentimetres,
            LastMeasuredAtMilliseconds = Math.Max(left.LastMeasuredAtMilliseconds, right.LastMeasuredAtMilliseconds),
            DryMatter = left.DryMatter + right.DryMatter,
            TotalNitrogen = left.TotalNitrogen + right.TotalNitrogen,
            AmmoniumNitrogen = left.AmmoniumNitrogen + right.AmmoniumNitrogen,
            Phosphorus = left.Phosphorus + right.Phosphorus,
            Potassium = left.Potassium + right.Potassium,
        };
}
