using Npgsql;
using NutrientLedger.Journal;
using NutrientLedger.Journal.Spreading;
using NutrientLedger.Ledger.Meters;
using NutrientLedger.Persistence.Appending;
using NutrientLedger.Persistence.Database;
using NutrientLedger.Persistence.DeadLetters;
using NutrientLedger.Persistence.Gaps;
using NutrientLedger.Persistence.ReadModel;
using NutrientLedger.Persistence.ReceivedRanges;

namespace NutrientLedger.Persistence.Queries;

/// <summary>
/// What the hub knows of a device on one stream: when it was last heard, the results of its messages, and its missing
/// numbers. The lead of its clock is negative when it is behind. It is null while the device has sent nothing live.
/// </summary>
public sealed record DeviceState(
    string EquipmentId,
    TelemetryStream Stream,
    DateTimeOffset LastRecordedAt,
    DateTimeOffset? LastMeasuredAt,
    long ReadingsStored,
    long ReadingsDuplicate,
    long ReadingsQuestionable,
    LeftOutCounts LeftOut,
    IReadOnlyList<OpenGap> OpenGaps,
    TimeSpan? ClockAhead
)
{
    /// <summary>How many of its messages wait, because their numbers are known with other readings.</summary>
    public long DifferingMessages { get; init; }

    /// <summary>How many more of its messages wait since one of these came.</summary>
    public long LaterMessages { get; init; }

    /// <summary>The numbers that are missing.</summary>
    public IEnumerable<MissingNumbers> Gaps => OpenGaps.Select(gap => gap.Numbers);
}

/// <summary>What was not read of a device's messages: records with unknown names, values too far below zero.</summary>
public readonly record struct LeftOutCounts(long UnknownRecords, long Values);

/// <summary>A boot of a device with stored readings, and the lowest and highest of their numbers.</summary>
public sealed record StoredBoot(long Boot, long FirstSeq, long LastSeq);

/// <summary>Answers queries about devices and how far the ledgers are posted.</summary>
public sealed class DeviceReader(NpgsqlDataSource source)
{
    private const string Progress = "coalesce((select posted_position from journal.progress limit 1), 0)";

    /// <summary>All devices that have sent readings for a farm.</summary>
    public async Task<IReadOnlyList<DeviceState>> DevicesAsync(string farmId, CancellationToken cancellationToken)
    {
        var gaps = await GapReader.OfFarmAsync(source, farmId, cancellationToken);
        var devices = await DeviceRows.ListAsync(source, farmId, cancellationToken);
        var waiting = await DecisionRows.CountAsync(source, farmId, cancellationToken);
        return
        [
            .. devices.Select(device => new DeviceState(
                device.EquipmentId,
                device.Stream,
                device.LastRecordedAt,
                device.LastMeasuredAt,
                device.ReadingsStored,
                device.ReadingsDuplicate,
                device.ReadingsQuestionable,
                new(device.UnknownRecords, device.ValuesLeftOut),
                [.. gaps[(device.EquipmentId, device.Stream)]],
                device.ClockLagMilliseconds is { } lag ? TimeSpan.FromMilliseconds(-lag) : null
            )
            {
                DifferingMessages = waiting.GetValueOrDefault((device.EquipmentId, device.Stream)).Differ,
                LaterMessages = waiting.GetValueOrDefault((device.EquipmentId, device.Stream)).Later,
            }),
        ];
    }

    /// <summary>
    /// What was received of every applicator's meter: all runs of consecutive numbers, with the readings at their ends.
    /// </summary>
    public async Task<IReadOnlyList<ReceivedRun>> RunsAsync(string farmId, CancellationToken cancellationToken)
    {
        var rows = await ReceivedRangeRows.OfStreamAsync(source, farmId, TelemetryStream.Spread, cancellationToken);
        return
        [
            .. from row in rows
            from run in row.Row.ToRangeSet<SpreadReading>().Ranges
            select new ReceivedRun(
                row.Key.EquipmentId,
                row.Key.Boot,
                run.FirstSeq,
                run.LastSeq,
                run.First.Reading,
                run.Last.Reading
            ),
        ];
    }

    /// <summary>Whether a reading of a device's boot is stored with one of these numbers, both ends included.</summary>
    public Task<bool> AnyStoredAsync(
        string farmId,
        string equipmentId,
        TelemetryStream stream,
        StoredBoot numbers,
        CancellationToken cancellationToken
    ) =>
        ReceivedRangeRows.AnyAsync(
            source,
            new(farmId, equipmentId, stream, numbers.Boot),
            numbers.FirstSeq,
            numbers.LastSeq,
            cancellationToken
        );

    /// <summary>The boots of a device with stored readings, nearest to a boot first. Limited in number.</summary>
    public async Task<IReadOnlyList<StoredBoot>> NearestBootsAsync(
        string farmId,
        string equipmentId,
        TelemetryStream stream,
        long boot,
        int limit,
        CancellationToken cancellationToken
    )
    {
        var nearest = await ReceivedRangeRows.NearestBootsAsync(
            source,
            new(farmId, equipmentId, stream, boot),
            limit,
            cancellationToken
        );
        return [.. nearest.Select(one => new StoredBoot(one.Boot, one.FirstSeq, one.LastSeq))];
    }

    /// <summary>The highest boot stored of a device on any stream; null when nothing of it is stored.</summary>
    public Task<long?> HighestBootAsync(string farmId, string equipmentId, CancellationToken cancellationToken) =>
        ReceivedRangeRows.HighestBootAsync(source, farmId, equipmentId, cancellationToken);

    /// <summary>
    /// The newest journal position, and the position up to which ledgers are posted with all corrections. An event that
    /// changes lines counts as posted when the lines it changes are.
    /// </summary>
    public async Task<(long Journal, long Posted)> PositionsAsync(CancellationToken cancellationToken)
    {
        await using var command = source.Command(
            $"""
            select coalesce((select max(position) from journal.event), 0),
                least(({Progress}), ({PostedFarmRows.OldestWanted}) - 1)
            """
        );
        await using var row = await command.ExecuteReaderAsync(cancellationToken);
        await row.ReadAsync(cancellationToken);
        return (row.GetInt64(0), row.GetInt64(1));
    }

    /// <summary>
    /// The position up to which batches are posted. The lines of some farm may still wait for a correction.
    /// </summary>
    internal async Task<long> PostedPositionAsync(CancellationToken cancellationToken)
    {
        await using var command = source.Command($"select {Progress}");
        return (long)(await command.ExecuteScalarAsync(cancellationToken))!;
    }
}
