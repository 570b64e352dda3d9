using System.Net;

namespace NutrientLedger.Integration.Tests.Faults;

/// <summary>
/// A proxy between devices and the hub's broker. It forwards everything at first. While it withholds acknowledgements,
/// the hub still receives messages, but no response reaches the devices. What is committed then stays unacknowledged.
/// </summary>
internal sealed class WithheldAcknowledgements(int hubPort)
    : ForwardingProxy(new IPEndPoint(IPAddress.Loopback, hubPort))
{
    private volatile TaskCompletionSource? gate;

    public void Withhold() => gate = new(TaskCreationOptions.RunContinuationsAsynchronously);

    /// <summary>Forwards the responses withheld so far, and all later ones.</summary>
    public void PassOn()
    {
        gate?.TrySetResult();
        gate = null;
    }

    protected override async Task<bool> MayPassAsync(bool isAnswer, CancellationToken stop)
    {
        if (isAnswer && gate is { } closed)
            await closed.Task.WaitAsync(stop);
        return true;
    }
}
