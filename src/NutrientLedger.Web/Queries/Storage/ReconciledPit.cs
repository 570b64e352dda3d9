using NutrientLedger.Journal.Fields;
using NutrientLedger.Journal.Storage;
using NutrientLedger.Ledger.Storage;

namespace NutrientLedger.Web.Queries.Storage;

/// <summary>
/// A pit's reconciliation from a day up to, but not including, another: of each day that has begun, and of the whole;
/// as of a journal position, up to a moment of farm time.
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
    bool IsBeingCorrected
);
