using System.Net;
using System.Net.Sockets;

namespace NutrientLedger.Integration.Tests.Faults;

/// <summary>
/// A proxy between the hub and the socket of its database. When it falls silent, it still takes connections and bytes,
/// and never forwards anything of the connections that it had then. New ones work again once it speaks.
/// </summary>
internal sealed class SilentProxy : IAsyncDisposable
{
    private readonly TcpListener listener = new(IPAddress.Loopback, 0);
    private readonly CancellationTokenSource stop = new();
    private readonly UnixDomainSocketEndPoint server;
    private readonly Task accepting;
    private volatile bool isSilent;

    public SilentProxy(string socketPath)
    {
        server = new(socketPath);
        listener.Start();
        accepting = AcceptAsync();
    }

    public int Port => ((IPEndPoint)listener.LocalEndpoint).Port;

    public void FallSilent() => isSilent = true;

    public void Speak() => isSilent = false;

    public async ValueTask DisposeAsync()
    {
        await stop.CancelAsync();
        listener.Dispose();
        await accepting;
        stop.Dispose();
    }

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

    private async Task PassAsync(Socket hub)
    {
        using var database = new Socket(AddressFamily.Unix, SocketType.Stream, ProtocolType.Unspecified);
        try
        {
            using (hub)
            {
                await database.ConnectAsync(server, stop.Token);
                await Task.WhenAny(PassAsync(hub, database), PassAsync(database, hub));
            }
        }
        catch (Exception e) when (IsTheEnd(e)) { }
    }

    private async Task PassAsync(Socket from, Socket to)
    {
        var bytes = new byte[16 * 1024];
        var lost = false;
        try
        {
            while (await from.ReceiveAsync(bytes, stop.Token) is var read and > 0)
            {
                lost |= isSilent;
                if (!lost)
                    await to.SendAsync(bytes.AsMemory(0, read), stop.Token);
            }
            // Nor does a silent proxy tell one side that the other one has closed.
            if (lost)
                await Task.Delay(Timeout.Infinite, stop.Token);
        }
        catch (Exception e) when (IsTheEnd(e)) { }
    }

    private static bool IsTheEnd(Exception e) =>
        e is OperationCanceledException or SocketException or IOException or ObjectDisposedException;
}
