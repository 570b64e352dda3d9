using System.Runtime.CompilerServices;
using System.Threading.Channels;
using NutrientLedger.Persistence.Projections;
using NutrientLedger.Web.Contracts.Farms;

namespace NutrientLedger.Web.Live;

/// <summary>
/// Follows a farm's ledger for one client: its data at once, then again after changes, at most twice a second. When
/// nothing changes, null comes every 15 s, so that the client can tell a quiet connection from a dead one.
/// </summary>
internal sealed class SheetStream(SheetQuery sheets, LedgerFeed feed, TimeProvider clock)
{
    private static readonly TimeSpan Pause = TimeSpan.FromMilliseconds(500);
    private static readonly TimeSpan QuietMax = TimeSpan.FromSeconds(15);

    /// <summary>Follows the ledger; ends without an exception when cancelled.</summary>
    public async IAsyncEnumerable<SheetResponse?> FollowAsync(
        string farm,
        string? season,
        [EnumeratorCancellation] CancellationToken cancellationToken
    )
    {
        // One pending notice is enough, however often the ledger changes while a response is written.
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

    /// <summary>Takes every change from the feed at once, so that a slow client never misses any.</summary>
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
            // The client left or the hub stops, so the stream ends.
        }
        finally
        {
            news.TryComplete();
        }
    }

    /// <summary>True on a change, false after a quiet time, null at the end.</summary>
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
            // Cancellation is checked before the next response.
        }
    }
}
