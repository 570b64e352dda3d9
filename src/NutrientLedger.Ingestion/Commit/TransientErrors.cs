using System.Data.Common;
using System.Net.Sockets;
using NutrientLedger.Persistence.Database;
using Polly;
using Polly.Retry;

namespace NutrientLedger.Ingestion.Commit;

/// <summary>
/// Decides which database errors are retried: all but those that a message's own content causes. A message must not be
/// rejected because of the state of the database, a missing table or a timeout for instance.
/// </summary>
internal static class TransientErrors
{
    /// <summary>Always the same words, so that one outage stays one outage whichever file could not grow.</summary>
    public const string DiskFull =
        "the database disk is full. Free space on it, and restart PostgreSQL if it has stopped. Devices keep their readings; the hub recovers by itself";

    /// <summary>PostgreSQL's name for a full disk (its manual, appendix A).</summary>
    private const string DiskFullState = "53100";

    /// <summary>
    /// Whether the exception or one of its causes can pass without another message: a lost connection, a restarting
    /// server, a database that somebody has to repair.
    /// </summary>
    public static bool IsTransient(Exception exception)
    {
        for (var cause = exception; cause is not null; cause = cause.InnerException)
            if (
                cause is SocketException or IOException or TimeoutException
                || (cause is DbException { SqlState: var state } && !IsOfContent(state))
            )
                return true;
        return false;
    }

    /// <summary>
    /// Whether an SQLSTATE is caused by values: data exceptions, constraints and program limits (PostgreSQL's manual,
    /// appendix A, classes 22, 23 and 54).
    /// </summary>
    private static bool IsOfContent(string? state) => state is not null && state[..2] is "22" or "23" or "54";

    /// <summary>What failed and what to do, for the log and the readiness check.</summary>
    public static string Describe(Exception exception)
    {
        for (var cause = exception; cause is not null; cause = cause.InnerException)
            if (cause is DbException { SqlState: DiskFullState })
                return DiskFull;
        return DatabaseErrors.Describe(exception);
    }

    /// <summary>Retries with growing pauses, from 100 ms to 2 s, until the caller's token is cancelled.</summary>
    public static ResiliencePipeline Retries(TimeProvider clock, Action<Exception> error) =>
        new ResiliencePipelineBuilder { TimeProvider = clock }
            .AddRetry(
                new RetryStrategyOptions
                {
                    ShouldHandle = new PredicateBuilder().Handle<Exception>(IsTransient),
                    MaxRetryAttempts = int.MaxValue,
                    BackoffType = DelayBackoffType.Exponential,
                    UseJitter = true,
                    Delay = TimeSpan.FromMilliseconds(100),
                    MaxDelay = TimeSpan.FromSeconds(2),
                    OnRetry = attempt =>
                    {
                        error(attempt.Outcome.Exception!);
                        return ValueTask.CompletedTask;
                    },
                }
            )
            .Build();
}
