using Microsoft.Extensions.Logging;

namespace NutrientLedger.Persistence.Database;

/// <summary>
/// Logs an outage of the database once, whichever parts of the hub meet it: when it begins, when it has another cause,
/// when it is over for all of them.
/// </summary>
public sealed partial class DatabaseOutage(TimeProvider time, ILogger<DatabaseOutage> log)
{
    private readonly Lock guard = new();
    private readonly HashSet<object> failing = [];
    private readonly HashSet<string> causes = [];
    private long begun;

    /// <summary>Notes that a part of the hub cannot use the database.</summary>
    public void Failed(object part, string cause)
    {
        lock (guard)
        {
            if (failing.Count == 0)
                begun = time.GetTimestamp();
            failing.Add(part);
            // A restarting server reports several errors in turn. Each is logged once.
            if (!causes.Add(cause))
                return;
            if (causes.Count == 1)
                LogBegun(log, cause);
            else
                LogChanged(log, Seconds(), cause);
        }
    }

    /// <summary>Notes that this part of the hub can use the database again.</summary>
    public void Ended(object part)
    {
        lock (guard)
        {
            if (!failing.Remove(part) || failing.Count > 0)
                return;
            causes.Clear();
            LogEnded(log, Seconds());
        }
    }

    private double Seconds() => Math.Round(time.GetElapsedTime(begun).TotalSeconds, 1);

    [LoggerMessage(
        Level = LogLevel.Error,
        Message = "The database cannot be used: {Cause}. It is tried again; devices keep their readings meanwhile."
    )]
    private static partial void LogBegun(ILogger log, string cause);

    [LoggerMessage(
        Level = LogLevel.Error,
        Message = "The database cannot be used for {Seconds} s now. The cause has changed: {Cause}"
    )]
    private static partial void LogChanged(ILogger log, double seconds, string cause);

    [LoggerMessage(Level = LogLevel.Warning, Message = "The database can be used again after {Seconds} s")]
    private static partial void LogEnded(ILogger log, double seconds);
}
