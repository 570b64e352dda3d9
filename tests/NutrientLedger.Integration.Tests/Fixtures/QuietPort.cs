using System.Net;
using System.Net.Sockets;

namespace NutrientLedger.Integration.Tests.Fixtures;

/// <summary>
/// A port that stays free while nobody listens on it, for a program that must return to the same one. It lies below
/// those that Linux gives to outgoing connections and to requests for any port (32768 and up,
/// net.ipv4.ip_local_port_range).
/// </summary>
public static class QuietPort
{
    private const int First = 20_000;
    private const int Past = 32_000;

    private static int next = Random.Shared.Next(First, Past);

    public static int Take()
    {
        for (var tries = First; tries < Past; tries++)
        {
            var port = First + (Interlocked.Increment(ref next) % (Past - First));
            try
            {
                using var listener = new TcpListener(IPAddress.Loopback, port);
                listener.Start();
                return port;
            }
            catch (SocketException)
            {
                // Another program uses it.
            }
        }
        throw new InvalidOperationException($"No port from {First} to {Past} is free on this machine.");
    }
}
