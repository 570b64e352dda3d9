using System.Net;
using System.Net.Sockets;

namespace NutrientLedger.Hub.Startup;

/// <summary>Looks whether loopback ports can be had before anything is started, so that the error names the way out.</summary>
public static class Ports
{
    /// <summary>The port if it is free; otherwise an error that names the option to change it.</summary>
    public static int Require(int port, string option) =>
        IsFree(port)
            ? port
            : throw new HubStartException(
                $"Port {port} on 127.0.0.1 is in use. Stop the other program, or choose another port with {option} (0 for any free port)."
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
