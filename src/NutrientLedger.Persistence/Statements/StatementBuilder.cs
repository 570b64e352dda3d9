using System.Runtime.CompilerServices;
using Npgsql;
using NutrientLedger.Journal.Definitions;
using NutrientLedger.Journal.StoredEvents;
using NutrientLedger.Ledger.Configuration;
using NutrientLedger.Ledger.Corrections;
using NutrientLedger.Ledger.Posting;
using NutrientLedger.Persistence.Events;
using NutrientLedger.Persistence.Rebuild;
using NutrientLedger.Persistence.Scheduling;

namespace NutrientLedger.Persistence.Statements;

/// <summary>A statement and the journal position of its correction.</summary>
internal sealed record BuiltStatement(long Position, Statement Statement);

/// <summary>
/// Makes statements from the journal alone. When only batches lie between two corrections, they are posted on top of
/// the lines after the first. A calibration changes no line. Of other corrections only the affected part is posted. The
/// ledger after the last one of a farm is remembered. Corrections one after another then do not each begin with the
/// farm's whole past.
/// </summary>
/// <param name="source">Where the journal is read.</param>
/// <param name="way">Messages go first, where there are any.</param>
/// <param name="whole">
/// Posts everything for every correction. A proof must, to show that the rest is not affected.
/// </param>
internal sealed class StatementBuilder(NpgsqlDataSource source, RightOfWay? way = null, bool whole = false)
{
    private readonly JournalReader journal = new(source);
    private readonly CopiedPacks packs = new(source, PostingMemory.BesideMessages.ChunkBytes);
    private (string FarmId, long Position, LedgerAccumulator Book)? last;

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
        var configuration = FarmConfiguration.Empty;
        var (accumulator, posted) = (Empty(), 0L);
        // It is posted on, so it is kept only when this went well.
        (var known, last) = (last, null);
        await foreach (var row in journal.ConfigurationEventsAsync(farmId, 0, upTo, cancellationToken))
        {
            var before = configuration;
            configuration = configuration.With(row.Event);
            var changesLines = EventTypes.Of(row.Event).Changes == EventChanges.Rebuild;
            if (
                row.Position > after
                && Statement.IsOwedTo(row.Event)
                && await journal.AnyBatchBeforeAsync(farmId, row.Position, cancellationToken)
            )
            {
                var since = BatchFilter.All(farmId, posted, row.Position);
                await packs.PostAsync(since, accumulator, before, way, cancellationToken);
                posted = row.Position;
                var corrected = changesLines
                    ? await CorrectedAsync(farmId, accumulator, before, row, configuration, cancellationToken)
                    : accumulator;
                var cause = StatementCause.Of(row.Event, before, row.RecordedAt, row.Position);
                yield return new(
                    row.Position,
                    Statement.Of(farmId, cause, before, accumulator, configuration, corrected)
                );
                accumulator = corrected;
            }
            else if (known is var (farm, position, remembered) && farm == farmId && position == row.Position)
                (accumulator, posted) = (remembered, position);
            else if (changesLines)
                (accumulator, posted) = (Empty(), 0);
        }
        if (posted > 0)
            last = (farmId, posted, accumulator);
    }

    private async Task<LedgerAccumulator> CorrectedAsync(
        string farmId,
        LedgerAccumulator accumulator,
        FarmConfiguration before,
        StoredEvent correction,
        FarmConfiguration after,
        CancellationToken cancellationToken
    )
    {
        var touched = whole ? null : Touched.By([correction.Event], before, after, WorkedPlace.Of(accumulator.Lines));
        var corrected = touched is null ? Empty() : accumulator.Untouched(touched);
        IEnumerable<BatchFilter> posted = touched is null
            ? [BatchFilter.All(farmId, 0, correction.Position)]
            : BatchFilter.Of(farmId, touched, correction.Position);
        foreach (var choice in posted)
            await packs.PostAsync(choice, corrected, after, way, cancellationToken);
        return corrected;
    }

    /// <summary>No statement covers coverage.</summary>
    private static LedgerAccumulator Empty() => new(withCoverage: false);
}
