using System.Runtime.CompilerServices;
using NutrientLedger.Ledger;

namespace NutrientLedger.Store;

/// <summary>A statement and the journal position of its correction.</summary>
internal sealed record MadeStatement(long Position, Statement Statement);

/// <summary>
/// Makes statements from the journal alone. The lines after one correction are those before the next when only packs lie between, which
/// are then posted on top; a calibration changes no line. So several corrections in one import cost one posting each, or none.
/// </summary>
internal sealed class StatementMaker(JournalRows journal)
{
    /// <summary>One statement for each correction after one position and up to another, in the order of the journal.</summary>
    public async IAsyncEnumerable<MadeStatement> MakeAsync(
        string farmId,
        long after,
        long upTo,
        [EnumeratorCancellation] CancellationToken cancellationToken
    )
    {
        var register = Register.Empty;
        var (book, posted) = (new LedgerBook(), 0L);
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
                await PostAsync(book, farmId, before, posted, row.Position, cancellationToken);
                posted = row.Position;
                var corrected = changesLines
                    ? await journal.PostAllAsync(farmId, register, row.Position, cancellationToken)
                    : book;
                var cause = StatementCause.Of(row.Entry, before, row.RecordedAt, row.Position);
                yield return new(row.Position, Statement.Of(farmId, cause, before, book, register, corrected));
                book = corrected;
            }
            else if (changesLines)
                (book, posted) = (new(), 0);
        }
    }

    private async Task PostAsync(
        LedgerBook book,
        string farmId,
        Register register,
        long after,
        long upTo,
        CancellationToken cancellationToken
    )
    {
        await foreach (var row in journal.PacksAsync(farmId, after, upTo, cancellationToken))
            book.Post(row.Entry, row.RecordedAt, register);
    }
}
