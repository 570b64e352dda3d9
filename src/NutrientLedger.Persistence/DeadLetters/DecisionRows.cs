using Npgsql;
using NutrientLedger.Journal;
using NutrientLedger.Persistence.Database;

namespace NutrientLedger.Persistence.DeadLetters;

/// <summary>
/// Sound messages that wait for a decision about their device, in the table of rejected messages. Their numbers are
/// known with other readings.
/// </summary>
internal static class DecisionRows
{
    /// <summary>A condition: a message of the device in an SQL expression waits for a decision.</summary>
    public static string WaitsSql(string device) =>
        $"""
            exists (select 1 from {DeadLetterRows.Table} as waiting
                where {Waits} and waiting.device = {device})
            """;

    private const string Waits = $"{DeadLetterRows.IsOpen} and quota = '{NewDeadLetter.WaitingForDecision}'";

    /// <summary>The command that reads which of these devices, as farm/equipment, wait for a decision.</summary>
    public static NpgsqlBatchCommand Read(string[] devices) =>
        SqlCommands.BatchCommand(
            $"select device from unnest($1) as asked (device) where {WaitsSql("asked.device")}",
            (object)devices
        );

    /// <summary>The first devices, as farm/equipment, that wait for a decision. Limited in number.</summary>
    public static Task<List<string>> ListAsync(
        NpgsqlDataSource source,
        int limit,
        CancellationToken cancellationToken
    ) =>
        source
            .Command(
                $"""select device from {DeadLetterRows.Table} where {Waits} group by device order by device collate "C" limit $1""",
                limit
            )
            .ListAsync(row => row.GetString(0), cancellationToken);

    /// <summary>
    /// Of each device and stream of a farm: how many messages wait for a decision, and how many after them.
    /// </summary>
    public static async Task<
        Dictionary<(string EquipmentId, TelemetryStream Stream), (long Differ, long Later)>
    > CountAsync(NpgsqlDataSource source, string farmId, CancellationToken cancellationToken)
    {
        var rows = await source
            .Command(
                $"""
                select equipment, stream, count(*) filter (where {Waits}), count(*) from {DeadLetterRows.Table}
                where farm = $1 and {DeadLetterRows.IsOpen}
                    and quota in ('{NewDeadLetter.WaitingForDecision}', '{NewDeadLetter.WaitingForRetry}')
                group by equipment, stream
                """,
                farmId
            )
            .ListAsync(
                row =>
                    (
                        Key: (row.GetString(0), Enum.Parse<TelemetryStream>(row.GetString(1), ignoreCase: true)),
                        Differ: row.GetInt64(2),
                        All: row.GetInt64(3)
                    ),
                cancellationToken
            );
        return rows.ToDictionary(row => row.Key, row => (row.Differ, row.All - row.Differ));
    }

    /// <summary>Notes that a device's decision is made. Returns how many messages waited for it.</summary>
    public static async Task<int> DecidedAsync(
        NpgsqlDataSource source,
        string farmId,
        string equipmentId,
        CancellationToken cancellationToken
    )
    {
        await using var command = source.Command(
            $"update {DeadLetterRows.Table} set quota = '{NewDeadLetter.WaitingForRetry}' where {Waits} and device = $1",
            NewDeadLetter.DeviceOf(farmId, equipmentId)
        );
        return await command.ExecuteNonQueryAsync(cancellationToken);
    }
}
