namespace NutrientLedger.Web.Contracts.Readings;

/// <summary>Everything that has sent readings for a farm.</summary>
public sealed record DeviceList(string Farm, IReadOnlyList<DeviceResponse> Devices);

/// <summary>
/// A sender on one stream: when it was last heard, how its readings fared, which numbers have not arrived, and how far
/// its clock seems ahead of the hub's (negative: behind, the time on the way included; nothing while it sends nothing
/// live). All gaps are counted, the first hundred named; metered in gaps is what ran through the meter over them and is
/// not placed while they are open.
/// </summary>
public sealed record DeviceResponse(
    string Equipment,
    string Stream,
    DateTimeOffset LastRecordedAt,
    DateTimeOffset? LastMeasuredAt,
    long ReadingsStored,
    long ReadingsDuplicate,
    long ReadingsQuestionable,
    long MissingReadings,
    int OpenGaps,
    double? MeteredInGapsCubicMetres,
    IReadOnlyList<GapResponse> Gaps,
    double? ClockAheadSeconds
);

/// <summary>
/// Numbers of one boot that have not arrived, first to last; since when the hub knows of it; when the readings on both
/// sides were measured (nothing before the first of a boot and after its last), and what the meter counted between
/// them, where it tells.
/// </summary>
public sealed record GapResponse(
    long Boot,
    long FirstSeq,
    long LastSeq,
    long MissingReadings,
    DateTimeOffset KnownSince,
    DateTimeOffset? MeasuredBefore,
    DateTimeOffset? MeasuredAfter,
    double? MeteredCubicMetres
);
