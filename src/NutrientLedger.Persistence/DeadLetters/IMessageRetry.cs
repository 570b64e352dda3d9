using NutrientLedger.Persistence.Messages;

namespace NutrientLedger.Persistence.DeadLetters;

/// <summary>Offers refused messages to the journal again, read as if they had just arrived. Whoever reads messages implements it.</summary>
public interface IMessageRetry
{
    /// <summary>Offers a message and says what became of it; a message that is not open is not offered.</summary>
    Task<AppendResult> RetryAsync(DeadLetter message, CancellationToken cancellationToken);
}
