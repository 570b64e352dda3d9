using System.Runtime.CompilerServices;
using Npgsql;
using NutrientLedger.Journal.Definitions;
using NutrientLedger.Journal.StoredEvents;
using NutrientLedger.Ledger.Configuration;
using NutrientLedger.Ledger.Corrections;
using NutrientLedger.Ledger.Posting;
using NutrientLedger.Persistence.Events;
using NutrientLedger.Persistence.Rebuild;

namespace NutrientLedger.Persistence.Statements;

/// <summary>A statement and the journal position of its correction.</summary>
internal sealed record BuiltStatement(long Position, Statement Statement);

/// <summary>
/// Makes statements from the journal alone. For each correction the seasons that it concerns are posted as they were
/// before it, and on top the partitions that it posts again. The ledger after the last one is remembered: of the same
/// seasons only batches since then are posted for the next.
/// </summary>
/// <param name="source">Where the journal is read.</param>
/// <param name="posting">How batches are posted.</param>
/// <param name="whole">
/// Posts everything for every correction. A proof must, to show that the rest is not concerned.
/// </param>
internal sealed class StatementBuilder(NpgsqlDataSource source, JournalPosting posting, bool whole = false)
{
    private readonly JournalReader journal = new(source);
    private Remembered? last;

    /// <summary>
    /// One statement for each correction after one position and up to another, in the order of the journal.
    /// </summary>
    public async IAsyncEnumerable<BuiltStatement> BuildAsync(
        string farmId,
        long after,
        long upTo,
        [EnumeratorCancellation] CancellationToken cancellationToken
    )
    {
        if (last?.FarmId != farmId || last.Position > after)
            last = null;
        var configuration = FarmConfiguration.Empty;
        await foreach (var row in journal.ConfigurationEventsAsync(farmId, 0, upTo, cancellationToken))
        {
            var before = configuration;
            configuration = configuration.With(row.Event);
            if (
                row.Position > after
                && Statement.IsOwedTo(row.Event)
                && await journal.AnyBatchBeforeAsync(farmId, row.Position, cancellationToken)
            )
                yield return await BuildAsync(farmId, row, before, configuration, cancellationToken);
            else if (row.Position > last?.Position && ChangesLines(row))
                last = null;
        }
    }

    private async Task<BuiltStatement> BuildAsync(
        string farmId,
        StoredEvent row,
        FarmConfiguration before,
        FarmConfiguration after,
        CancellationToken cancellationToken
    )
    {
        var correction = new Correction([row.Event], before, after);
        await using var connection = await source.OpenConnectionAsync(cancellationToken);
        var spans = await PendingCorrection.SpansAsync(connection, farmId, correction, cancellationToken);
        var seasons = whole ? PartitionSet.Everything : correction.Seasons(spans);
        // It is kept only when the next one is built.
        var known = last?.Seasons.Holds(seasons) == true ? last : null;
        last = null;
        seasons = known?.Seasons ?? seasons;
        var posted = LedgerAddition.Together([
            known?.Ledger ?? LedgerAddition.None,
            await PostAsync(before, seasons, known?.Position ?? 0),
        ]);
        var corrected = posted;
        if (ChangesLines(row))
        {
            var again = whole ? seasons : correction.Partitions(spans, WorkedPlace.Of(posted.Lines));
            corrected = LedgerAddition.Together([posted.Without(again), await PostAsync(after, again, 0)]);
        }
        last = new(farmId, seasons, row.Position, corrected);
        var cause = StatementCause.Of(row.Event, before, row.RecordedAt, row.Position);
        return new(row.Position, Statement.Of(farmId, cause, before, posted, after, corrected));

        Task<LedgerAddition> PostAsync(FarmConfiguration configuration, PartitionSet only, long since) =>
            posting.PostAsync(
                // No statement covers coverage.
                new(farmId, configuration, only, since, row.Position) { WithCoverage = false },
                progress: null,
                cancellationToken
            );
    }

    private static bool ChangesLines(StoredEvent row) => EventTypes.Of(row.Event).Changes == EventChanges.Rebuild;

    private sealed record Remembered(string FarmId, PartitionSet Seasons, long Position, LedgerAddition Ledger);
}
