namespace NutrientLedger.Office.Answers;

/// <summary>What is asked about readings of one sender and boot, by their numbers, both ends included; who asks it and why.</summary>
public interface IAskedAboutReadings
{
    string? Equipment { get; }

    string? Stream { get; }

    long? Boot { get; }

    long? FirstSeq { get; }

    long? LastSeq { get; }

    string? Reason { get; }

    string? DecidedBy { get; }
}

/// <summary>Readings that a person wants void: part is "reading", "composition" or "level"; numbers include both ends.</summary>
public sealed record VoidingWanted(
    string? Equipment,
    string? Stream,
    long? Boot,
    long? FirstSeq,
    long? LastSeq,
    string? Part,
    string? Reason,
    string? DecidedBy
) : IAskedAboutReadings;

/// <summary>Who takes a voiding back, and why.</summary>
public sealed record WithdrawalWanted(string? Reason, string? DecidedBy);

/// <summary>How readings in doubt are to be read: decision is "asMeasured", "shifted" (then with a shift in ms) or "leftOut".</summary>
public sealed record DecisionWanted(
    string? Equipment,
    string? Stream,
    long? Boot,
    long? FirstSeq,
    long? LastSeq,
    string? Decision,
    long? ShiftMilliseconds,
    string? Reason,
    string? DecidedBy
) : IAskedAboutReadings;

/// <summary>A voiding in force.</summary>
public sealed record VoidingAnswer(
    string Id,
    string Equipment,
    string Stream,
    long Boot,
    long FirstSeq,
    long LastSeq,
    string Part,
    string Reason,
    string DecidedBy
);

/// <summary>The voidings in force on a farm, oldest first.</summary>
public sealed record VoidingList(string Farm, IReadOnlyList<VoidingAnswer> Voidings);

/// <summary>Readings in doubt that wait for a decision; the shift estimated is right for readings that were sent as they were measured.</summary>
public sealed record DoubtAnswer(
    string Equipment,
    string Stream,
    long Boot,
    long FirstSeq,
    long LastSeq,
    DateTimeOffset ClaimedFrom,
    DateTimeOffset ClaimedTo,
    DateTimeOffset RecordedAt,
    long EstimatedShiftMilliseconds
);

/// <summary>What waits for a decision on a farm, in the order of arrival.</summary>
public sealed record DoubtList(string Farm, IReadOnlyList<DoubtAnswer> Doubts);

/// <summary>What was recorded; balances follow as soon as the ledger is posted anew.</summary>
public sealed record RecordedAnswer(string Farm, long Place, string? Id);
