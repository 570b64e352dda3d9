using Npgsql;

namespace NutrientLedger.Persistence.Seals;

/// <summary>Reads the seals of farms.</summary>
public sealed class SealReader(NpgsqlDataSource source)
{
    /// <summary>A farm's newest seal, or null.</summary>
    public async Task<StoredSeal?> NewestAsync(string farmId, CancellationToken cancellationToken)
    {
        await using var connection = await source.OpenConnectionAsync(cancellationToken);
        return (await SealRows.ListAsync(connection, farmId, 1, cancellationToken)).FirstOrDefault();
    }
}
