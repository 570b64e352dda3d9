using Npgsql;
using NutrientLedger.Persistence.Messages;

namespace NutrientLedger.Persistence.DeadLetters;

/// <summary>The list of rejected messages, to read and to close. The append writes what is stored of them.</summary>
public sealed class DeadLetterQueue(NpgsqlDataSource source, TimeProvider time)
{
    /// <summary>Rejected messages, newest first.</summary>
    public async Task<IReadOnlyList<DeadLetterSummary>> ListAsync(
        DeadLetterQuery query,
        CancellationToken cancellationToken
    ) => await DeadLetterListRows.ListAsync(source, query, cancellationToken);

    /// <summary>
    /// How many were counted and not kept, for a farm or in all. Messages of no known farm count for none.
    /// </summary>
    public async Task<IReadOnlyList<DeadLetterOverflow>> OverflowAsync(
        string? farmId,
        CancellationToken cancellationToken
    ) => await DeadLetterOverflowRows.ListAsync(source, farmId, cancellationToken);

    /// <summary>One message with its bytes, or null.</summary>
    public Task<DeadLetter?> ReadAsync(long id, CancellationToken cancellationToken) =>
        DeadLetterListRows.ReadAsync(source, id, cancellationToken);

    /// <summary>
    /// The numbers of a farm's open messages, oldest first, above a number. With a device, those that wait for a retry.
    /// </summary>
    public async Task<IReadOnlyList<long>> OpenIdsAsync(
        string farmId,
        string? equipmentId,
        long above,
        int limit,
        CancellationToken cancellationToken
    ) => await DeadLetterListRows.OpenIdsAsync(source, farmId, equipmentId, above, limit, cancellationToken);

    /// <summary>
    /// Whether a message of a device has other readings under known numbers and waits for a decision.
    /// </summary>
    public async Task<bool> IsUndecidedAsync(string farmId, string equipmentId, CancellationToken cancellationToken) =>
        (await DecisionRows.CountAsync(source, farmId, cancellationToken)).Any(it =>
            it.Key.EquipmentId == equipmentId && it.Value.Differ > 0
        );

    /// <summary>
    /// Notes that a device's decision is made: its messages wait for a retry now. Returns how many there were.
    /// </summary>
    public Task<int> DecidedAsync(string farmId, string equipmentId, CancellationToken cancellationToken) =>
        DecisionRows.DecidedAsync(source, farmId, equipmentId, cancellationToken);

    /// <summary>Closes an open message for a reason. False when it is not open (any more).</summary>
    public Task<bool> CloseAsync(long id, string by, string reason, CancellationToken cancellationToken) =>
        DeadLetterListRows.CloseAsync(source, id, by, reason, time.GetUtcNow(), cancellationToken);

    /// <summary>Notes that a retry was rejected before it reached the journal.</summary>
    public async Task RejectedAgainAsync(long id, string reason, CancellationToken cancellationToken)
    {
        await using var connection = await source.OpenConnectionAsync(cancellationToken);
        await DeadLetterWriter.RetriedAsync(
            connection,
            id,
            new AppendResult.Rejected(reason),
            time.GetUtcNow(),
            cancellationToken
        );
    }
}
