using System.Net.Sockets;

namespace NutrientLedger.Integration.Tests.Faults;

/// <summary>
/// A proxy between the hub and the socket of its database. When it falls silent, it still takes connections and bytes,
/// and never forwards anything of the connections that it had then. New ones work again once it speaks.
/// </summary>
internal sealed class SilentProxy(string socketPath) : ForwardingProxy(new UnixDomainSocketEndPoint(socketPath))
{
    private volatile bool isSilent;

    public void FallSilent() => isSilent = true;

    public void Speak() => isSilent = false;

    protected override Task<bool> MayPassAsync(bool isAnswer, CancellationToken stop) => Task.FromResult(!isSilent);
}
