using Npgsql;
using NutrientLedger.Journal.StoredEvents;
using NutrientLedger.Persistence.Database;
using NutrientLedger.Persistence.Events;
using NutrientLedger.Persistence.Seals;

namespace NutrientLedger.Persistence.Verification;

/// <summary>
/// Compares each seal of a farm with the farm's chain before it, and its hash over all farms with the seals that were
/// made at once.
/// </summary>
internal static class SealAudit
{
    /// <summary>Returns the newest seal, or null. What is wrong goes on the list.</summary>
    public static async Task<StoredSeal?> RunAsync(
        NpgsqlConnection connection,
        string farmId,
        List<string> findings,
        CancellationToken cancellationToken
    )
    {
        var all = await SealRows.ListAsync(connection, null, null, cancellationToken);
        var together = all.ToLookup(one => one.Seal.AllFarmsHash);
        var own = all.Where(one => one.FarmId == farmId).ToList();
        var before = await BeforeAsync(connection, farmId, cancellationToken);
        foreach (var one in own)
        {
            var at = FormattableString.Invariant($"seal at position {one.Position}");
            if (before.GetValueOrDefault(one.Position) != (one.Seal.Position, one.Seal.ChainHash))
                findings.Add($"{at}: the farm's chain before it is not the one that was sealed");
            var sealedAtOnce = together[one.Seal.AllFarmsHash].ToList();
            if (sealedAtOnce.Count != one.Seal.Farms)
                findings.Add(
                    $"{at}: it covers {one.Seal.Farms} farms, and the seals of {sealedAtOnce.Count} are there"
                );
            else if (
                FarmChain.OfAll(sealedAtOnce.Select(it => (it.FarmId, it.Seal.Position, it.Seal.ChainHash)))
                != one.Seal.AllFarmsHash
            )
                findings.Add($"{at}: its hash over all farms is not that of their seals");
        }
        return own.FirstOrDefault();
    }

    /// <summary>By the position of each seal, the position and hash before it in the farm's chain.</summary>
    private static async Task<Dictionary<long, (long Position, string Hash)>> BeforeAsync(
        NpgsqlConnection connection,
        string farmId,
        CancellationToken cancellationToken
    ) =>
        (
            await connection
                .Command(
                    $"""
                    select event.position, before.position, encode(hash, 'hex') from journal.event
                    cross join lateral (
                        select position, hash from {FarmChainRows.Table} as chain
                        where chain.farm = $1 and chain.position < event.position order by position desc limit 1) as before
                    where farm = $1 and stream = $2
                    """,
                    farmId,
                    SealRows.Stream
                )
                .ListAsync(row => (row.GetInt64(0), (row.GetInt64(1), row.GetString(2))), cancellationToken)
        ).ToDictionary();
}
