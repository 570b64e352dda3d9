using Npgsql;
using NutrientLedger.Ledger.Configuration;
using NutrientLedger.Persistence.Configuration;
using NutrientLedger.Persistence.DeadLetters;
using NutrientLedger.Persistence.Events;
using NutrientLedger.Persistence.Gaps;
using NutrientLedger.Persistence.Hubs;
using NutrientLedger.Persistence.Messages;
using NutrientLedger.Persistence.ReceivedRanges;

namespace NutrientLedger.Persistence.Appending;

/// <summary>
/// What an append knows of the farms and devices of its messages, read under the farms' locks, and what it will write.
/// However many farms there are, it reads in one round trip.
/// </summary>
internal sealed class AppendState(ConfigurationCache configurations, HubIdentity self)
{
    private readonly HashSet<string> locked = [];
    private readonly Dictionary<SequenceKey, ReceivedRangeRow> received = [];
    private readonly Dictionary<SequenceKey, ReceivedRangeRow> changed = [];
    private readonly HashSet<string> undecided = [];
    private readonly EventAppend events = new();
    private string? headsOf;

    /// <summary>
    /// Reads what messages concern, and returns them with the boots under which they are stored. If a device turns out
    /// to be replaced since its farm was last read, they are read for once more, under the same locks.
    /// </summary>
    public async Task<DecodedMessage[]> ReadAsync(
        NpgsqlConnection connection,
        IReadOnlyList<DecodedMessage> messages,
        DateTimeOffset day,
        CancellationToken cancellationToken
    )
    {
        SequenceKey[]? read = null;
        while (true)
        {
            DecodedMessage[] arrived = [.. messages.Select(it => ReplacedDevice.Stored(it, Newest(it.FarmId)))];
            SequenceKey[] keys = [.. arrived.SelectMany(Boots).Distinct()];
            if (read is not null && keys.SequenceEqual(read))
                return arrived;
            await ReadAsync(connection, keys, day, cancellationToken);
            read = keys;
        }
    }

    /// <summary>Where a message's numbers may be stored: its own boot, and those of devices that it replaced.</summary>
    public IEnumerable<SequenceKey> KeysOf(DecodedMessage arrived)
    {
        var key = DeviceAppend.KeyOf(arrived);
        return ReplacedDevice.Earlier(key, Newest(key.FarmId)).Prepend(key);
    }

    /// <summary>
    /// Makes sure that this hub was not replaced and locks the farms that exist. Then it reads configurations, the
    /// received ranges, the heads of the streams that the devices write to on the day of a moment, and which devices
    /// wait for a decision. Each statement sees what was committed before it began, so all but the first two see what
    /// the locks protect.
    /// </summary>
    private async Task ReadAsync(
        NpgsqlConnection connection,
        SequenceKey[] keys,
        DateTimeOffset day,
        CancellationToken cancellationToken
    )
    {
        string[] farms = [.. keys.Select(key => key.FarmId).Distinct().Order(StringComparer.Ordinal)];
        headsOf = Day(day);
        await using var reads = new NpgsqlBatch(connection)
        {
            BatchCommands =
            {
                HubRows.Require(self),
                EventAppend.Lock(farms),
                configurations.ReadNewer(farms),
                ReceivedRangeRows.Read(keys),
                EventAppend.ReadHeads(Streams(keys, day)),
                DecisionRows.Read([.. keys.Select(DeviceOf).Distinct()]),
            },
        };
        await using var rows = await reads.ExecuteReaderAsync(cancellationToken);
        if (!await rows.ReadAsync(cancellationToken))
            throw new HubReplacedException();
        await rows.NextResultAsync(cancellationToken);
        while (await rows.ReadAsync(cancellationToken))
            locked.Add(rows.GetString(0));
        await rows.NextResultAsync(cancellationToken);
        await configurations.AddAsync(rows, cancellationToken);
        await rows.NextResultAsync(cancellationToken);
        while (await rows.ReadAsync(cancellationToken))
        {
            var (key, row) = ReceivedRangeRows.Of(rows);
            received[key] = row;
        }
        await rows.NextResultAsync(cancellationToken);
        while (await rows.ReadAsync(cancellationToken))
            events.AddHead(rows);
        await rows.NextResultAsync(cancellationToken);
        while (await rows.ReadAsync(cancellationToken))
            undecided.Add(rows.GetString(0));
    }

    /// <summary>
    /// Reads the heads of the streams of another day, if midnight (UTC) passed while the locks were waited for.
    /// </summary>
    public async Task ReadHeadsAsync(
        NpgsqlConnection connection,
        IReadOnlyCollection<SequenceKey> keys,
        DateTimeOffset now,
        CancellationToken cancellationToken
    )
    {
        if (headsOf == Day(now))
            return;
        await using var reads = new NpgsqlBatch(connection)
        {
            BatchCommands = { EventAppend.ReadHeads(Streams(keys, now)) },
        };
        await using var rows = await reads.ExecuteReaderAsync(cancellationToken);
        while (await rows.ReadAsync(cancellationToken))
            events.AddHead(rows);
    }

    /// <summary>
    /// A farm's configuration; null when it is not registered. Only a locked farm is taken for registered.
    /// </summary>
    public FarmConfiguration? ConfigurationOf(string farmId) =>
        locked.Contains(farmId) && Newest(farmId) is { Farm: not null } configuration ? configuration : null;

    /// <summary>What is received of a boot, this append's own changes included.</summary>
    public ReceivedRangeRow Received(SequenceKey key) =>
        changed.GetValueOrDefault(key) ?? received.GetValueOrDefault(key, ReceivedRangeRow.Empty);

    /// <summary>
    /// Whether messages of a device wait for a decision, those of this append included. Its new readings then wait too:
    /// whose they are is not known.
    /// </summary>
    public bool IsUndecided(SequenceKey key) => undecided.Contains(DeviceOf(key));

    /// <summary>Adds what a device's messages became.</summary>
    public void Append(SequenceKey key, DeviceAppendResult result, DateTimeOffset now)
    {
        if (result.IsUndecided)
            undecided.Add(DeviceOf(key));
        Change(key, result.Received);
        foreach (var added in result.Events)
            events.Add(key.FarmId, added, now);
    }

    /// <summary>Notes the last number that a device remembers of an earlier boot.</summary>
    public void Announce(SequenceKey key, long lastSeq, DateTimeOffset now) =>
        Change(key, Received(key).Announce(lastSeq, now));

    /// <summary>The commands that write the changes.</summary>
    public IEnumerable<NpgsqlBatchCommand> Commands()
    {
        if (changed.Count > 0)
            yield return ReceivedRangeRows.Write([.. changed.Select(it => (it.Key, it.Value))]);
        foreach (var command in events.Commands())
            yield return command;
    }

    /// <summary>What the changes did to gaps.</summary>
    public IEnumerable<GapChange> GapChanges() =>
        changed.Select(it =>
            GapChange.Between(it.Key, received.GetValueOrDefault(it.Key, ReceivedRangeRow.Empty), it.Value)
        );

    private void Change(SequenceKey key, ReceivedRangeRow row)
    {
        if (!ReferenceEquals(row, Received(key)))
            changed[key] = row;
    }

    private FarmConfiguration Newest(string farmId) => configurations.Newest(farmId).Configuration;

    private IEnumerable<SequenceKey> Boots(DecodedMessage arrived) =>
        arrived.PreviousBoot is { } last
            ? KeysOf(arrived).Append(DeviceAppend.KeyOf(arrived) with { Boot = last.Boot })
            : KeysOf(arrived);

    private static string DeviceOf(SequenceKey key) => NewDeadLetter.DeviceOf(key.FarmId, key.EquipmentId);

    private static string Day(DateTimeOffset moment) => FormattableString.Invariant($"{moment.UtcDateTime:yyyy-MM-dd}");

    private static FarmStream[] Streams(IReadOnlyCollection<SequenceKey> keys, DateTimeOffset day) =>
        [.. keys.Select(key => new FarmStream(key.FarmId, DeviceAppend.StreamKeyOf(key, day))).Distinct()];
}
