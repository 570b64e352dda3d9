using System.Runtime.CompilerServices;
using Npgsql;
using NutrientLedger.Ledger;

namespace NutrientLedger.Store;

/// <summary>A statement and the journal position of its correction.</summary>
internal sealed record MadeStatement(long Position, Statement Statement);

/// <summary>
/// Makes statements from the journal alone. The lines after one correction are those before the next when only packs lie between, which
/// are then posted on top; a calibration changes no line; and of other corrections only what they touch is posted. The ledger after the
/// last one of a farm is remembered, so that corrections one after another do not each begin with the farm's whole past.
/// </summary>
/// <param name="source">Where the journal is read.</param>
/// <param name="way">Messages go first, where there are any.</param>
/// <param name="whole">Posts everything for every correction, as a proof must that the rest is not touched.</param>
internal sealed class StatementMaker(NpgsqlDataSource source, RightOfWay? way = null, bool whole = false)
{
    private readonly JournalRows journal = new(source);
    private readonly CopiedPacks packs = new(source, PostingMemory.BesideMessages.ChunkBytes);
    private (string FarmId, long Position, LedgerBook Book)? last;

    /// <summary>One statement for each correction after one position and up to another, in the order of the journal.</summary>
    public async IAsyncEnumerable<MadeStatement> MakeAsync(
        string farmId,
        long after,
        long upTo,
        [EnumeratorCancellation] CancellationToken cancellationToken
    )
    {
        var register = Register.Empty;
        var (book, posted) = (Empty(), 0L);
        // It is posted on, so it counts again only when this went well.
        (var known, last) = (last, null);
        await foreach (var row in journal.RareAsync(farmId, 0, upTo, cancellationToken))
        {
            var before = register;
            register = register.With(row.Entry);
            var changesLines = Register.ChangesLines(row.Entry);
            if (
                row.Position > after
                && Statement.IsOwedTo(row.Entry)
                && await journal.AnyPackBeforeAsync(farmId, row.Position, cancellationToken)
            )
            {
                var since = PackChoice.All(farmId, posted, row.Position);
                await packs.PostAsync(since, book, before, way, cancellationToken);
                posted = row.Position;
                var corrected = changesLines
                    ? await CorrectedAsync(farmId, book, before, row, register, cancellationToken)
                    : book;
                var cause = StatementCause.Of(row.Entry, before, row.RecordedAt, row.Position);
                yield return new(row.Position, Statement.Of(farmId, cause, before, book, register, corrected));
                book = corrected;
            }
            else if (known is var (farm, position, remembered) && farm == farmId && position == row.Position)
                (book, posted) = (remembered, position);
            else if (changesLines)
                (book, posted) = (Empty(), 0);
        }
        if (posted > 0)
            last = (farmId, posted, book);
    }

    private async Task<LedgerBook> CorrectedAsync(
        string farmId,
        LedgerBook book,
        Register before,
        JournalRow correction,
        Register after,
        CancellationToken cancellationToken
    )
    {
        var touched = whole ? null : Touched.By([correction.Entry], before, after, WorkedPlace.Of(book.Lines));
        var corrected = touched is null ? Empty() : book.Untouched(touched);
        IEnumerable<PackChoice> posted = touched is null
            ? [PackChoice.All(farmId, 0, correction.Position)]
            : PackChoice.Of(farmId, touched, correction.Position);
        foreach (var choice in posted)
            await packs.PostAsync(choice, corrected, after, way, cancellationToken);
        return corrected;
    }

    /// <summary>No statement tells of coverage.</summary>
    private static LedgerBook Empty() => new(withCoverage: false);
}
