using NutrientLedger.Journal.Fields;
using NutrientLedger.Journal.Storage;
using NutrientLedger.Ledger.Storage;

namespace NutrientLedger.Web.Queries.Storage;

/// <summary>
/// A pit's reconciliation from a day up to, not including, another: each day that has begun, and the whole period. It
/// is as of a journal position and up to a farm time.
/// </summary>
internal sealed record ReconciledPit(
    string FarmId,
    FarmRegistered Farm,
    PitRegistered Pit,
    DateOnly From,
    DateOnly To,
    long Position,
    IReadOnlyList<ReconciledPitDay> Days,
    ReconciledSpan Whole,
    DateTimeOffset CalculatedTo,
    bool IsBeingCorrected,
    int UnpostedBatches
);
