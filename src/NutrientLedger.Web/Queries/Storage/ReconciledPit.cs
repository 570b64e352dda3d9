using NutrientLedger.Journal.Fields;
using NutrientLedger.Journal.Storage;
using NutrientLedger.Ledger.Storage;

namespace NutrientLedger.Web.Queries.Storage;

/// <summary>A pit's story from a day up to, but not including, another: of each day that has begun, and of the whole; as of a journal position, up to a moment of farm time.</summary>
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

/// <summary>A stretch of time with its statement; one that is not over yet is reckoned up to the moment of asking.</summary>
internal record ReconciledSpan(ReconciledPitPeriod Statement, bool IsOver);

/// <summary>One day of farm time.</summary>
internal sealed record ReconciledPitDay(DateOnly Day, ReconciledPitPeriod Statement, bool IsOver)
    : ReconciledSpan(Statement, IsOver);
