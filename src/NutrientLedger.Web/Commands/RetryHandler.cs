using NutrientLedger.Persistence.DeadLetters;
using NutrientLedger.Web.Contracts.Rejected;
using NutrientLedger.Web.Queries;

namespace NutrientLedger.Web.Commands;

/// <summary>Retries rejected messages, one or all of a farm.</summary>
internal sealed class RetryHandler(DeadLetterQueue list, IMessageRetry retry)
{
    private const int ExamplesMax = 20;
    private const int BatchMax = 500;

    /// <summary>Retries one open message.</summary>
    public async Task<RetryResponse> OneAsync(DeadLetter message, CancellationToken cancellationToken) =>
        RejectedMapping.Retried(message.Summary.Id, await retry.RetryAsync(message, cancellationToken));

    /// <summary>
    /// Retries all open messages of a farm once, oldest first, so that numbers arrive in order. With a device, those of
    /// it that wait for a retry.
    /// </summary>
    public async Task<RetryAllResponse> AllAsync(string farmId, string? equipment, CancellationToken cancellationToken)
    {
        var (retried, stored, readings, last) = (0, 0, 0L, 0L);
        var examples = new List<RetryResponse>();
        while (await list.OpenIdsAsync(farmId, equipment, last, BatchMax, cancellationToken) is { Count: > 0 } ids)
            foreach (var id in ids)
            {
                last = id;
                if (
                    await list.ReadAsync(id, cancellationToken) is not { } message
                    || message.Summary.State != DeadLetterState.Open
                )
                    continue;
                var outcome = await OneAsync(message, cancellationToken);
                retried++;
                stored += outcome.Stored ? 1 : 0;
                readings += outcome.Readings;
                if (!outcome.Stored && examples.Count < ExamplesMax)
                    examples.Add(outcome);
            }
        return new(farmId, retried, stored, readings, retried - stored, examples);
    }
}
