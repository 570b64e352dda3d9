using System.Net;
using System.Net.Sockets;

namespace NutrientLedger.Integration.Tests.Faults;

/// <summary>
/// A proxy between devices and the hub's broker. It forwards everything at first. While it withholds acknowledgements,
/// the hub still receives messages, but no response reaches the devices. What is committed then stays unacknowledged.
/// </summary>
internal sealed class WithheldAcknowledgements : IAsyncDisposable
{
    private readonly TcpListener listener = new(IPAddress.Loopback, 0);
    private readonly CancellationTokenSource stop = new();
    private readonly int hubPort;
    private readonly Task accepting;
    private volatile TaskCompletionSource? gate;

    public WithheldAcknowledgements(int hubPort)
    {
        this.hubPort = hubPort;
        listener.Start();
        accepting = AcceptAsync();
    }

    public int Port => ((IPEndPoint)listener.LocalEndpoint).Port;

    public void Withhold() => gate = new(TaskCreationOptions.RunContinuationsAsynchronously);

    /// <summary>Forwards the responses withheld so far, and all later ones.</summary>
    public void PassOn()
    {
        gate?.TrySetResult();
        gate = null;
    }

    public async ValueTask DisposeAsync()
    {
        await stop.CancelAsync();
        listener.Dispose();
        await accepting;
        stop.Dispose();
    }

    private async Task AcceptAsync()
    {
        var lines = new List<Task>();
        try
        {
            while (true)
                lines.Add(PassAsync(await listener.AcceptTcpClientAsync(stop.Token)));
        }
        catch (Exception e) when (IsTheEnd(e))
        {
            await Task.WhenAll(lines);
        }
    }

    private async Task PassAsync(TcpClient device)
    {
        try
        {
            using (device)
            using (var hub = new TcpClient())
            {
                await hub.ConnectAsync(IPAddress.Loopback, hubPort, stop.Token);
                await Task.WhenAny(
                    PassAsync(device.GetStream(), hub.GetStream(), isAnswer: false),
                    PassAsync(hub.GetStream(), device.GetStream(), isAnswer: true)
                );
            }
        }
        catch (Exception e) when (IsTheEnd(e)) { }
    }

    private async Task PassAsync(NetworkStream from, NetworkStream to, bool isAnswer)
    {
        var bytes = new byte[16 * 1024];
        try
        {
            while (await from.ReadAsync(bytes, stop.Token) is var read and > 0)
            {
                if (isAnswer && gate is { } closed)
                    await closed.Task.WaitAsync(stop.Token);
                await to.WriteAsync(bytes.AsMemory(0, read), stop.Token);
            }
        }
        catch (Exception e) when (IsTheEnd(e)) { }
    }

    private static bool IsTheEnd(Exception e) =>
        e is OperationCanceledException or SocketException or IOException or ObjectDisposedException;
}
