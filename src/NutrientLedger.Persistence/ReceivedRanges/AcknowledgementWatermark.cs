using Npgsql;
using NutrientLedger.Journal;
using NutrientLedger.Persistence.Database;

namespace NutrientLedger.Persistence.ReceivedRanges;

/// <summary>One machine of a farm.</summary>
public readonly record struct FarmDevice(string FarmId, string EquipmentId);

/// <summary>
/// How far a boot of a machine's stream is stored: all numbers from 1 to <paramref name="UpTo"/> (0 when number 1 is missing), and
/// nothing above <paramref name="Highest"/>. Between the two some are missing.
/// </summary>
public sealed record AcknowledgementWatermark(
    FarmDevice Device,
    TelemetryStream Stream,
    long Boot,
    long UpTo,
    long Highest
)
{
    /// <summary>How many boots of a stream are told, the newest ones; an older boot has nothing to say any more.</summary>
    public const int BootsMax = 8;

    /// <summary>The marks of these machines, as committed, the newest boot of each stream first.</summary>
    internal static async Task<IReadOnlyList<AcknowledgementWatermark>> ReadAsync(
        NpgsqlDataSource source,
        IReadOnlyCollection<FarmDevice> devices,
        CancellationToken cancellationToken
    )
    {
        await using var command = source.Command(
            """
            select farm, equipment, stream, boot,
                case when lower(ranges) <= 1 then (select upper(run) - 1 from unnest(ranges) as run order by run limit 1) else 0 end,
                coalesce(upper(ranges) - 1, 0)
            from (
                select received_range.*, row_number() over (partition by farm, equipment, stream order by boot desc) as age
                from ingestion.received_range join unnest($1, $2) as wanted (farm, equipment) using (farm, equipment)
            ) as recent
            where age <= $3 order by farm, equipment, stream, boot desc
            """,
            devices.Select(device => device.FarmId).ToArray(),
            devices.Select(device => device.EquipmentId).ToArray(),
            BootsMax
        );
        await using var rows = await command.ExecuteReaderAsync(cancellationToken);
        var watermarks = new List<AcknowledgementWatermark>();
        while (await rows.ReadAsync(cancellationToken))
            watermarks.Add(
                new(
                    new(rows.GetString(0), rows.GetString(1)),
                    Enum.Parse<TelemetryStream>(rows.GetString(2), ignoreCase: true),
                    rows.GetInt64(3),
                    rows.GetInt64(4),
                    rows.GetInt64(5)
                )
            );
        return watermarks;
    }
}
