using System.Net;
using System.Net.Sockets;

namespace NutrientLedger.Hub;

/// <summary>Looks whether loopback ports can be had before anything is started, so that the error names the way out.</summary>
public static class Ports
{
    /// <summary>The port if it is free; otherwise an error that names the option to change it.</summary>
    public static int Require(int port, string option) =>
        IsFree(port)
            ? port
            : throw new HubStartException(
                $"Port {port} on 127.0.0.1 is taken by another program. Stop it, or choose another port with {option} (0 takes any free one)."
            );

    /// <summary>The port if it is free, otherwise the next free one above it.</summary>
    public static int FreeFrom(int port) =>
        port == 0 ? 0
        : Enumerable.Range(port, 200).FirstOrDefault(IsFree) is var free and > 0 ? free
        : throw new HubStartException($"No free port between {port} and {port + 199} on 127.0.0.1.");

    private static bool IsFree(int port)
    {
        if (port == 0)
            return true;
        try
        {
            using var listener = new TcpListener(IPAddress.Loopback, port);
            listener.Start();
            return true;
        }
        catch (SocketException)
        {
            return false;
        }
    }
}

/// <summary>The hub cannot start for a reason that its user can mend; the message says how.</summary>
public sealed class HubStartException(string message) : Exception(message);
