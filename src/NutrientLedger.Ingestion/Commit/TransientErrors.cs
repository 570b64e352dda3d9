using System.Data.Common;
using System.Net.Sockets;
using Polly;
using Polly.Retry;

namespace NutrientLedger.Ingestion.Commit;

/// <summary>
/// Decides which database errors are retried: those that can pass later, such as a lost connection. Nothing else is
/// retried here, because bad data stays bad.
/// </summary>
internal static class TransientErrors
{
    /// <summary>Always the same words, so that one outage stays one outage whichever file could not grow.</summary>
    public const string DiskFull =
        "the database disk is full. Free space on it, and restart PostgreSQL if it has stopped. Devices keep their readings; the hub recovers by itself";

    /// <summary>PostgreSQL's name for a full disk (its manual, appendix A).</summary>
    private const string DiskFullState = "53100";

    /// <summary>
    /// Whether the exception or one of its causes can pass by itself: a lost connection, a restarting server.
    /// </summary>
    public static bool IsTransient(Exception exception)
    {
        for (var cause = exception; cause is not null; cause = cause.InnerException)
            if (cause is DbException { IsTransient: true } or SocketException or IOException or TimeoutException)
                return true;
        return false;
    }

    /// <summary>What failed and what to do, for the log and the readiness check.</summary>
    public static string Describe(Exception exception)
    {
        for (var cause = exception; cause is not null; cause = cause.InnerException)
            if (cause is DbException { SqlState: DiskFullState })
                return DiskFull;
        return exception.Message;
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
