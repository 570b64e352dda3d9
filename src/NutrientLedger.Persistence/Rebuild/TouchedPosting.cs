using NutrientLedger.Journal;
using NutrientLedger.Ledger.Posting;
using NutrientLedger.Persistence.ReadModel;

namespace NutrientLedger.Persistence.Rebuild;

/// <summary>
/// Posts a correction from what it affects. All other rows are copied from the live generation as of one position. Only
/// the batches of the affected devices are read from the journal up to there. What is posted after that position is
/// added in full.
/// </summary>
internal static class TouchedPosting
{
    /// <summary>False, with nothing written, when everything is affected or the live rows cannot be copied.</summary>
    public static async Task<bool> RunAsync(BesideGeneration beside, CancellationToken cancellationToken)
    {
        var farmId = beside.Live.FarmId;
        var (connection, journal) = (beside.Connection, beside.Journal);
        var before = await journal.ConfigurationAsync(farmId, beside.Live.ConfigurationPosition, cancellationToken);
        var events = new List<IJournalEvent>();
        await foreach (
            var row in journal.ConfigurationEventsAsync(
                farmId,
                beside.Live.ConfigurationPosition,
                beside.ConfigurationPosition,
                cancellationToken
            )
        )
            events.Add(row.Event);

        // One snapshot. The rows copied are those of exactly the position that is read with them.
        await using var snapshot = await connection.BeginTransactionAsync(
            System.Data.IsolationLevel.RepeatableRead,
            cancellationToken
        );
        if (
            await GenerationRows.CurrentAsync(connection, farmId, cancellationToken) is not { } live
            || live.Generation != beside.Live.Generation
            || live.ConfigurationPosition != beside.Live.ConfigurationPosition
        )
            return false;
        var lines = await LineRows.ReadAsync(connection, live, season: null, cancellationToken);
        if (Touched.By(events, before, beside.Configuration, WorkedPlace.Of(lines)) is not { } touched)
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

        foreach (var choice in BatchFilter.Of(farmId, touched, live.Position))
            await beside.PostAsync(choice, touched, cancellationToken);
        beside.PostedUpTo(live.Position);
        return true;
    }
}
