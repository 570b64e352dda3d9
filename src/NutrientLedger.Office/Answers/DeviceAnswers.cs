namespace NutrientLedger.Office.Answers;

/// <summary>Everything that has sent readings for a farm.</summary>
public sealed record DeviceList(string Farm, IReadOnlyList<DeviceAnswer> Devices);

/// <summary>
/// A sender on one stream: when it was last heard, how its readings fared, which numbers have not arrived, and how far its clock
/// seems ahead of the hub's (negative: behind, the time on the way included; nothing while it sends nothing live).
/// </summary>
public sealed record DeviceAnswer(
    string Equipment,
    string Stream,
    DateTimeOffset LastRecordedAt,
    DateTimeOffset? LastMeasuredAt,
    long ReadingsStored,
    long ReadingsDuplicate,
    long ReadingsDoubtful,
    long MissingReadings,
    IReadOnlyList<GapAnswer> Gaps,
    double? ClockAheadSeconds
);

/// <summary>Numbers of one boot that have not arrived, first to last.</summary>
public sealed record GapAnswer(long Boot, long FirstSeq, long LastSeq);
