using System.Net;
using System.Net.Sockets;

namespace NutrientLedger.Integration.Tests.Faults;

/// <summary>Listens on a free loopback port and forwards each connection to one place, in both directions.</summary>
internal abstract class ForwardingProxy : IAsyncDisposable
{
    private readonly TcpListener listener = new(IPAddress.Loopback, 0);
    private readonly CancellationTokenSource stop = new();
    private readonly EndPoint place;
    private readonly Task accepting;

    protected ForwardingProxy(EndPoint place)
    {
        this.place = place;
        listener.Start();
        accepting = AcceptAsync();
    }

    public int Port => ((IPEndPoint)listener.LocalEndpoint).Port;

    public async ValueTask DisposeAsync()
    {
        await stop.CancelAsync();
        listener.Dispose();
        await accepting;
        stop.Dispose();
    }

    /// <summary>Whether bytes of one connection may go on now. It can wait before it says so.</summary>
    /// <param name="isAnswer">Whether they come from the place.</param>
    /// <param name="stop">The end of the proxy.</param>
    protected abstract Task<bool> MayPassAsync(bool isAnswer, CancellationToken stop);

    private async Task AcceptAsync()
    {
        var connections = new List<Task>();
        try
        {
            while (true)
                connections.Add(PassAsync(await listener.AcceptSocketAsync(stop.Token)));
        }
        catch (Exception e) when (IsTheEnd(e))
        {
            await Task.WhenAll(connections);
        }
    }

    private async Task PassAsync(Socket accepted)
    {
        using var other = new Socket(place.AddressFamily, SocketType.Stream, ProtocolType.Unspecified);
        try
        {
            using (accepted)
            {
                await other.ConnectAsync(place, stop.Token);
                await Task.WhenAny(
                    PassAsync(accepted, other, isAnswer: false),
                    PassAsync(other, accepted, isAnswer: true)
                );
            }
        }
        catch (Exception e) when (IsTheEnd(e)) { }
    }

    private async Task PassAsync(Socket from, Socket to, bool isAnswer)
    {
        var bytes = new byte[16 * 1024];
        var lost = false;
        try
        {
            while (await from.ReceiveAsync(bytes, stop.Token) is var read and > 0)
            {
                lost |= !await MayPassAsync(isAnswer, stop.Token);
                if (!lost)
                    await to.SendAsync(bytes.AsMemory(0, read), stop.Token);
            }
            // A proxy that has lost bytes does not tell one side that the other one has closed.
            if (lost)
                await Task.Delay(Timeout.Infinite, stop.Token);
        }
        catch (Exception e) when (IsTheEnd(e)) { }
    }

    private static bool IsTheEnd(Exception e) =>
        e is OperationCanceledException or SocketException or IOException or ObjectDisposedException;
}
