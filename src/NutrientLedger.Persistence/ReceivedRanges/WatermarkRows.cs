using Npgsql;
using NutrientLedger.Persistence.Database;
using NutrientLedger.Persistence.DeadLetters;

namespace NutrientLedger.Persistence.ReceivedRanges;

/// <summary>Reads acknowledgement watermarks from the received ranges.</summary>
internal static class WatermarkRows
{
    /// <summary>
    /// How far the newest boots of these devices are stored, the newest boot of each stream first: each device's own
    /// boots, from the given one on. None while a device waits for a decision. See
    /// <see cref="AcknowledgementWatermark.BootsMax"/>.
    /// </summary>
    public static async Task<IReadOnlyList<AcknowledgementWatermark>> ReadAsync(
        NpgsqlDataSource source,
        IReadOnlyCollection<(FarmDevice Device, long FirstBoot)> devices,
        CancellationToken cancellationToken
    )
    {
        await using var command = source.Command(
            $"""
            select farm, equipment, stream, boot - first_boot,
                case when lower(ranges) <= 1 then (select upper(first) - 1 from unnest(ranges) as first order by first limit 1)
                    else 0 end,
                coalesce(upper(ranges) - 1, 0)
            from (
                select {ReceivedRangeRows.Key}, first_boot, ranges, row_number() over (partition by farm, equipment, stream order by boot desc) as age
                from {ReceivedRangeRows.Table} join unnest($1, $2, $4) as wanted (farm, equipment, first_boot) using (farm, equipment)
                where boot >= first_boot and not {DecisionRows.WaitsSql("farm || '/' || equipment")}
            ) as recent
            where age <= $3 order by farm, equipment, stream, boot desc
            """,
            devices.Select(it => it.Device.FarmId).ToArray(),
            devices.Select(it => it.Device.EquipmentId).ToArray(),
            AcknowledgementWatermark.BootsMax,
            devices.Select(it => it.FirstBoot).ToArray()
        );
        await using var rows = await command.ExecuteReaderAsync(cancellationToken);
        var watermarks = new List<AcknowledgementWatermark>();
        while (await rows.ReadAsync(cancellationToken))
        {
            var key = ReceivedRangeRows.ReadKey(rows);
            watermarks.Add(
                new(new(key.FarmId, key.EquipmentId), key.Stream, key.Boot, rows.GetInt64(4), rows.GetInt64(5))
            );
        }
        return watermarks;
    }
}
