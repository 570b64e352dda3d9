using System.Net.Sockets;
using Marten.Exceptions;
using Npgsql;

namespace NutrientLedger.Persistence.Database;

/// <summary>Tells a server that is away from other errors, and names the cause in a few words.</summary>
public static class DatabaseErrors
{
    /// <summary>
    /// SQLSTATEs of a server that stops, recovers or starts, or has no connection left (PostgreSQL's manual, appendix
    /// A).
    /// </summary>
    private static readonly string[] NotReady =
    [
        PostgresErrorCodes.AdminShutdown,
        PostgresErrorCodes.CrashShutdown,
        PostgresErrorCodes.CannotConnectNow,
        PostgresErrorCodes.TooManyConnections,
    ];

    /// <summary>
    /// Whether the server is away, silent or not ready. The same can succeed later without any change here.
    /// </summary>
    public static bool IsAway(Exception exception)
    {
        for (var cause = exception; cause is not null; cause = cause.InnerException)
            if (cause is PostgresException { SqlState: var state })
                return NotReady.Contains(state);
            else if (cause is SocketException or IOException or TimeoutException)
                return true;
        return false;
    }

    /// <summary>Whether an error of any origin is a database that is away.</summary>
    public static bool IsOutage(Exception exception)
    {
        for (var cause = exception; cause is not null; cause = cause.InnerException)
            if (cause is NpgsqlException)
                return IsAway(exception);
        return false;
    }

    /// <summary>Whether an error only says that a farm's row has moved on.</summary>
    public static bool IsMovedRow(Exception exception)
    {
        for (var cause = exception; cause is not null; cause = cause.InnerException)
            if (
                cause
                is ConcurrentUpdateException
                    or PostgresException { SqlState: PostgresErrorCodes.SerializationFailure }
            )
                return true;
        return false;
    }

    /// <summary>The cause in a few words, always the same ones for the same cause.</summary>
    public static string Describe(Exception exception)
    {
        for (var cause = exception; cause is not null; cause = cause.InnerException)
            switch (cause)
            {
                case PostgresException server:
                    return server.MessageText;
                case TimeoutException:
                    return "it does not answer";
                case SocketException socket:
                    return socket.Message;
                case EndOfStreamException:
                    return "the connection was lost";
                default:
                    break;
            }
        return exception.Message.TrimEnd('.');
    }
}
