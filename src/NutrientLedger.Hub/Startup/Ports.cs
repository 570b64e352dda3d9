using System.Net;
using System.Net.Sockets;

namespace NutrientLedger.Hub.Startup;

/// <summary>Checks loopback ports before anything starts, so that the error can say what to do.</summary>
internal static class Ports
{
    /// <summary>Checks that a port is free.</summary>
    /// <exception cref="HubStartException">It is in use; the message names the option to change it.</exception>
    public static void Require(int port, string option)
    {
        if (!IsFree(port))
            throw new HubStartException(
                $"Port {port} on 127.0.0.1 is in use. Stop the other program, or choose another port with {option} (0 for any free port)."
            );
    }

    /// <summary>The port if it is free, otherwise the next free one above it. 0 stays 0.</summary>
    /// <exception cref="HubStartException">None of the next 200 is free.</exception>
    public static int FreeFrom(int port) =>
        port == 0 ? 0
        : Enumerable.Range(port, Math.Min(200, 65536 - port)).FirstOrDefault(IsFree) is var free and > 0 ? free
        : throw new HubStartException(
            $"No free port from {port} up to {Math.Min(port + 199, 65535)} on 127.0.0.1. Close other programs, or choose another port."
        );

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
