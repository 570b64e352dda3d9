using System.Data.Common;
using System.Net.Sockets;
using Polly;
using Polly.Retry;

namespace NutrientLedger.Intake.Commit;

/// <summary>
/// What to do when the database does not answer: try again, because that can succeed later. Nothing else is tried again here;
/// bad data stays bad.
/// </summary>
internal static class DatabaseTrouble
{
    /// <summary>Said always in the same words, so that a lasting trouble stays one trouble whatever file could not grow.</summary>
    public const string NoRoom =
        "the database has no room: the disk on which its data lies is full. Make room there, and start PostgreSQL again should it have stopped; devices keep what they send, and the hub goes on by itself";

    /// <summary>PostgreSQL's name for a full disk (its manual, appendix A).</summary>
    private const string NoRoomState = "53100";

    /// <summary>Whether an exception, or one that caused it, is of a kind that passes: a lost connection, a restarting server.</summary>
    public static bool MayPass(Exception exception)
    {
        for (var cause = exception; cause is not null; cause = cause.InnerException)
            if (cause is DbException { IsTransient: true } or SocketException or IOException or TimeoutException)
                return true;
        return false;
    }

    /// <summary>What the trouble is and what to do, for the log and for the question whether the hub is ready.</summary>
    public static string Words(Exception exception)
    {
        for (var cause = exception; cause is not null; cause = cause.InnerException)
            if (cause is DbException { SqlState: NoRoomState })
                return NoRoom;
        return exception.Message;
    }

    /// <summary>Tries again with growing pauses for as long as the caller's token lets it.</summary>
    public static ResiliencePipeline Retries(TimeProvider clock, Action<Exception> trouble) =>
        new ResiliencePipelineBuilder { TimeProvider = clock }
            .AddRetry(
                new RetryStrategyOptions
                {
                    ShouldHandle = new PredicateBuilder().Handle<Exception>(MayPass),
                    MaxRetryAttempts = int.MaxValue,
                    BackoffType = DelayBackoffType.Exponential,
                    UseJitter = true,
                    Delay = TimeSpan.FromMilliseconds(100),
                    MaxDelay = TimeSpan.FromSeconds(2),
                    OnRetry = attempt =>
                    {
                        trouble(attempt.Outcome.Exception!);
                        return ValueTask.CompletedTask;
                    },
                }
            )
            .Build();
}
