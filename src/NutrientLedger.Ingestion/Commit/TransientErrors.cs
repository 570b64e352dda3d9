using System.Data.Common;
using System.Net.Sockets;
using Polly;
using Polly.Retry;

namespace NutrientLedger.Ingestion.Commit;

/// <summary>
/// What to do when the database does not answer: try again, because that can succeed later. Nothing else is tried again here;
/// bad data stays bad.
/// </summary>
internal static class TransientErrors
{
    /// <summary>Said always in the same words, so that a lasting trouble stays one trouble whatever file could not grow.</summary>
    public const string DiskFull =
        "the database disk is full. Free space on it, and restart PostgreSQL if it has stopped. Devices keep their readings; the hub recovers by itself";

    /// <summary>PostgreSQL's name for a full disk (its manual, appendix A).</summary>
    private const string DiskFullState = "53100";

    /// <summary>Whether an exception, or one that caused it, is of a kind that passes: a lost connection, a restarting server.</summary>
    public static bool IsTransient(Exception exception)
    {
        for (var cause = exception; cause is not null; cause = cause.InnerException)
            if (cause is DbException { IsTransient: true } or SocketException or IOException or TimeoutException)
                return true;
        return false;
    }

    /// <summary>What the trouble is and what to do, for the log and for the question whether the hub is ready.</summary>
    public static string Describe(Exception exception)
    {
        for (var cause = exception; cause is not null; cause = cause.InnerException)
            if (cause is DbException { SqlState: DiskFullState })
                return DiskFull;
        return exception.Message;
    }

    /// <summary>Tries again with growing pauses for as long as the caller's token lets it.</summary>
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
