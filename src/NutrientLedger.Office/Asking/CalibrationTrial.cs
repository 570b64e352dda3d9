using NutrientLedger.Ledger;
using NutrientLedger.Office.Answers;
using NutrientLedger.Office.Import;
using NutrientLedger.Store;

namespace NutrientLedger.Office.Asking;

/// <summary>Says what calibrations would change if they were adopted, and stores nothing.</summary>
public sealed class CalibrationTrial(RegisterStore registers, LedgerReader ledgers)
{
    /// <summary>What the calibrations of a file would change one after another, or every fault of the file.</summary>
    public async Task<(TriedCalibrations? Tried, IReadOnlyList<ImportProblem> Problems)> OfFileAsync(
        string farmId,
        string path,
        CancellationToken cancellationToken
    )
    {
        var (bytes, unread) = await Recording.BytesAsync(path, cancellationToken);
        if (bytes is null)
            return (null, [unread!]);
        var at = await registers.ReadAsync(farmId, asOf: null, cancellationToken);
        var file = new CalibrationFile(Path.GetFileName(path), bytes);
        var entries = file.Entries(at);
        if (file.Problems.InOrder.Count > 0)
            return (null, Recording.Nothing(farmId, file.Problems).Problems);
        var after = entries.Aggregate(at.Register, (register, entry) => register.With(entry));
        var (position, changes) = await ChangesAsync(at, after, cancellationToken);
        return (new(farmId, [.. entries.Select(entry => entry.CalibrationId)], position, changes), []);
    }

    /// <summary>What changes in the ledger as posted when a register takes the place of another; no entry that changes lines may lie between them.</summary>
    internal async Task<(long Position, IReadOnlyList<ChangeAnswer> Changes)> ChangesAsync(
        RegisterAt at,
        Register after,
        CancellationToken cancellationToken
    )
    {
        var view = await ledgers.LinesAsync(at.FarmId, null, null, cancellationToken);
        var changes = ChangedSpread.Between(at.Register, view.Lines, after, view.Lines);
        return (view.Position, [.. changes.Select(CalibrationBook.Change)]);
    }
}
