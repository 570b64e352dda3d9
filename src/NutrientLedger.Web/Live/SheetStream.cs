using System.Runtime.CompilerServices;
using System.Threading.Channels;
using NutrientLedger.Persistence.Projections;
using NutrientLedger.Web.Contracts.Farms;

namespace NutrientLedger.Web.Live;

/// <summary>
/// Follows a farm's ledger for one reader: its sheet at once, then a new one when the ledger has moved on, at most
/// twice a second. In quiet times nothing (null) comes every 15 s, so that the reader can tell a quiet line from a dead
/// one.
/// </summary>
internal sealed class SheetStream(SheetQuery sheets, LedgerFeed feed, TimeProvider clock)
{
    private static readonly TimeSpan Pause = TimeSpan.FromMilliseconds(500);
    private static readonly TimeSpan QuietMax = TimeSpan.FromSeconds(15);

    /// <summary>Ends quietly when cancelled.</summary>
    public async IAsyncEnumerable<SheetResponse?> FollowAsync(
        string farm,
        string? season,
        [EnumeratorCancellation] CancellationToken cancellationToken
    )
    {
        // However many steps the ledger makes while a sheet is written, one note that there is news is enough.
        var news = Channel.CreateBounded<bool>(
            new BoundedChannelOptions(1) { FullMode = BoundedChannelFullMode.DropWrite }
        );
        var listening = ListenAsync(farm, news.Writer, cancellationToken);
        news.Writer.TryWrite(true);
        while (await HeardAsync(news.Reader, cancellationToken) is { } isNews)
        {
            if (!isNews)
                yield return null;
            else if ((await sheets.SheetAsync(farm, season, cancellationToken)).Value is { } sheet)
            {
                yield return sheet;
                await PauseAsync(cancellationToken);
            }
        }
        await listening;
    }

    /// <summary>
    /// Takes every step from the feed as it comes, so that this reader is never the slow one who misses some.
    /// </summary>
    private async Task ListenAsync(string farm, ChannelWriter<bool> news, CancellationToken cancellationToken)
    {
        try
        {
            await foreach (var step in feed.ListenAsync(cancellationToken))
                if (step.FarmId == farm)
                    news.TryWrite(true);
        }
        catch (OperationCanceledException)
        {
            // The reader has gone or the hub stops: the stream simply ends.
        }
        finally
        {
            news.TryComplete();
        }
    }

    /// <summary>True when there is news, false when it has been quiet for a while, nothing when it is over.</summary>
    private async Task<bool?> HeardAsync(ChannelReader<bool> news, CancellationToken cancellationToken)
    {
        using var quiet = new CancellationTokenSource(QuietMax, clock);
        using var either = CancellationTokenSource.CreateLinkedTokenSource(quiet.Token, cancellationToken);
        try
        {
            return await news.ReadAsync(either.Token);
        }
        catch (OperationCanceledException)
        {
            return cancellationToken.IsCancellationRequested ? null : false;
        }
        catch (ChannelClosedException)
        {
            return null;
        }
    }

    private async Task PauseAsync(CancellationToken cancellationToken)
    {
        try
        {
            await Task.Delay(Pause, clock, cancellationToken);
        }
        catch (OperationCanceledException)
        {
            // Whether it is over is asked before the next sheet.
        }
    }
}
