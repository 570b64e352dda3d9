namespace NutrientLedger.Office.Answers;

/// <summary>Everything that has sent readings for a farm.</summary>
public sealed record DeviceList(string Farm, IReadOnlyList<DeviceAnswer> Devices);

/// <summary>A sender on one stream: when it was last heard, how its readings fared, and which numbers have not arrived.</summary>
public sealed record DeviceAnswer(
    string Equipment,
    string Stream,
    DateTimeOffset LastRecordedAt,
    DateTimeOffset? LastMeasuredAt,
    long ReadingsStored,
    long ReadingsDuplicate,
    long ReadingsDoubtful,
    long MissingReadings,
    IReadOnlyList<GapAnswer> Gaps
);

/// <summary>Numbers of one boot that have not arrived, first to last.</summary>
public sealed record GapAnswer(long Boot, long FirstSeq, long LastSeq);
