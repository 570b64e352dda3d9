using NutrientLedger.Journal;
using NutrientLedger.Ledger;

namespace NutrientLedger.Store;

/// <summary>
/// Posts a correction from what it touches: rows that it does not are copied from the live generation as of one position, and only the
/// packs of the senders that it does are read from the journal up to there. What is posted after that position is added in full.
/// </summary>
internal static class TouchedPosting
{
    /// <summary>False, with nothing written, when everything is touched or the live rows cannot be copied.</summary>
    public static async Task<bool> RunAsync(BesideGeneration beside, CancellationToken cancellationToken)
    {
        var farmId = beside.Live.FarmId;
        var (connection, journal) = (beside.Connection, beside.Journal);
        var before = await journal.RegisterAsync(farmId, beside.Live.RegisterPosition, cancellationToken);
        var entries = new List<IEntry>();
        await foreach (
            var row in journal.RareAsync(
                farmId,
                beside.Live.RegisterPosition,
                beside.RegisterPosition,
                cancellationToken
            )
        )
            entries.Add(row.Entry);

        // One snapshot, so that the rows copied are those of exactly the position that is read with them.
        await using var snapshot = await connection.BeginTransactionAsync(
            System.Data.IsolationLevel.RepeatableRead,
            cancellationToken
        );
        if (
            await LedgerRows.CurrentAsync(connection, farmId, cancellationToken) is not { } live
            || live.Generation != beside.Live.Generation
            || live.RegisterPosition != beside.Live.RegisterPosition
            || !await LedgerTables.IsInShapeAsync(connection, farmId, cancellationToken)
        )
            return false;
        var lines = await LedgerRows.LinesAsync(connection, live, season: null, cancellationToken);
        if (Touched.By(entries, before, beside.Register, WorkedPlace.Of(lines)) is not { } touched)
            return false;
        await CopiedRows.CopyAsync(
            connection,
            live,
            beside.Generation,
            touched,
            beside.GiveWayAsync,
            cancellationToken
        );
        await snapshot.CommitAsync(cancellationToken);

        foreach (var choice in PackChoice.Of(farmId, touched, live.Position))
            await beside.PostAsync(choice, touched, cancellationToken);
        beside.PostedUpTo(live.Position);
        return true;
    }
}
