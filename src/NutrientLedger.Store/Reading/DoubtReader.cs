using Npgsql;
using NutrientLedger.Journal.Spreading;
using NutrientLedger.Journal.Storage;
using NutrientLedger.Ledger;

namespace NutrientLedger.Store;

/// <summary>Finds in the journal the readings whose time is in doubt and about which nobody has decided.</summary>
public sealed class DoubtReader(NpgsqlDataSource source)
{
    private readonly JournalRows journal = new(source);

    /// <summary>In the order in which they began to be recorded; the whole journal is read, but never held.</summary>
    public async Task<IReadOnlyList<DoubtfulStretch>> WaitingAsync(
        string farmId,
        Register register,
        CancellationToken cancellationToken
    )
    {
        var waiting = new List<DoubtfulStretch>();
        await foreach (var row in journal.PacksAsync(farmId, 0, long.MaxValue, cancellationToken))
            waiting.AddRange(
                row.Entry switch
                {
                    SpreadingMeasured measured => DoubtfulStretch.Of(measured.Pack, row.RecordedAt, register),
                    StorageLevelMeasured measured => DoubtfulStretch.Of(measured.Pack, row.RecordedAt, register),
                    // Weather posts nothing, so nothing waits for a decision about it.
                    _ => [],
                }
            );
        return DoubtfulStretch.Joined(waiting);
    }
}
