namespace NutrientLedger.Ledger.Posting;

/// <summary>
/// A batch of the journal that cannot be posted, by its position, the numbers of its readings and why. Until it can be,
/// every amount of its farm is a minimum.
/// </summary>
public sealed record UnpostedBatch(
    long Position,
    string EquipmentId,
    long Boot,
    long FirstSeq,
    long LastSeq,
    string Reason
);
