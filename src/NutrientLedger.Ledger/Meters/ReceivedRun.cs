using NutrientLedger.Journal.Spreading;

namespace NutrientLedger.Ledger.Meters;

/// <summary>
/// Readings of one boot of an applicator that were all received: their numbers from first to last, both included, and
/// the two readings at the ends as they were sent.
/// </summary>
public readonly record struct ReceivedRun(
    string ApplicatorId,
    long Boot,
    long FirstSeq,
    long LastSeq,
    SpreadReading First,
    SpreadReading Last
);
