using System.Net;
using System.Net.Sockets;

namespace NutrientLedger.Hub.Startup;

/// <summary>
/// Looks whether loopback ports can be had before anything is started, so that the error names the way out.
/// </summary>
public static class Ports
{
    /// <summary>Fails when a port is in use; the error names the option to change it.</summary>
    public static void Require(int port, string option)
    {
        if (!IsFree(port))
            throw new HubStartException(
                $"Port {port} on 127.0.0.1 is in use. Stop the other program, or choose another port with {option} (0 for any free port)."
            );
    }

    /// <summary>The port if it is free, otherwise the next free one above it.</summary>
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
