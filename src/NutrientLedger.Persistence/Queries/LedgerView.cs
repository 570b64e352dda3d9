using NutrientLedger.Ledger.Coverage;
using NutrientLedger.Ledger.Lines;

namespace NutrientLedger.Persistence.Queries;

/// <summary>
/// The posted lines of a farm at a journal position. While a correction is being posted they are still those of the
/// earlier configuration.
/// </summary>
public record LedgerLines(long Position, IReadOnlyDictionary<LineKey, LineAmounts> Lines)
{
    public bool IsBeingCorrected { get; init; }

    /// <summary>How many batches of the farm cannot be posted. While there are any, all amounts are minimums.</summary>
    public int UnpostedBatches { get; init; }
}

/// <summary>The posted ledger of a farm, lines and coverage, at a journal position.</summary>
public sealed record LedgerView(
    long Position,
    IReadOnlyDictionary<LineKey, LineAmounts> Lines,
    IReadOnlyList<CoverageRows> Coverage
) : LedgerLines(Position, Lines);
