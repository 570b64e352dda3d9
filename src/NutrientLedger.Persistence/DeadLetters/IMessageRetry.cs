using NutrientLedger.Persistence.Messages;

namespace NutrientLedger.Persistence.DeadLetters;

/// <summary>
/// Appends rejected messages to the journal again, read as if they had just arrived. The reader of messages implements
/// it.
/// </summary>
public interface IMessageRetry
{
    /// <summary>Retries a message and returns the result. A message that is not open is not retried.</summary>
    Task<AppendResult> RetryAsync(DeadLetter message, CancellationToken cancellationToken);
}
