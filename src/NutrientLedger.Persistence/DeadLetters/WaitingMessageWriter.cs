using Npgsql;
using NutrientLedger.Persistence.Database;
using NutrientLedger.Persistence.Messages;

namespace NutrientLedger.Persistence.DeadLetters;

/// <summary>
/// Keeps sound messages until what they wait for has happened: the import of their farm, or a decision about their
/// device. It does so inside the transaction of an append. What is beyond a limit is not kept, and its device has to
/// send it again.
/// </summary>
internal sealed class WaitingMessageWriter(DeadLetterLimits limits)
{
    /// <summary>
    /// Keeps messages, each with the reason why it is not in the journal and what it waits for. Returns their results
    /// in order: rejected and kept, or over a limit.
    /// </summary>
    public async Task<IReadOnlyList<AppendResult>> AddAsync(
        NpgsqlConnection connection,
        IReadOnlyList<(RejectedMessage Message, WaitingFor What)> messages,
        DateTimeOffset now,
        CancellationToken cancellationToken
    )
    {
        if (messages.Count == 0)
            return [];
        await connection.LockAsync(AdvisoryLock.DeadLetters, cancellationToken);
        string[] fingerprints = [.. messages.Select(one => NewDeadLetter.FingerprintOf(one.Message))];
        var arrived = fingerprints
            .Zip(messages)
            .GroupBy(one => one.First, one => one.Second)
            .Select(same => new NewDeadLetter(
                same.Key,
                same.Last().Message,
                same.Count(),
                NewDeadLetter.QuotaOf(same.Last().What)
            ))
            .ToList();
        var known = await DeadLetterRows.CountRepeatedAsync(
            connection,
            [.. arrived.Select(one => (one.Fingerprint, one.Occurrences, one.Message.Reason, (string?)one.Quota))],
            now,
            cancellationToken
        );
        arrived.RemoveAll(one => known.Contains(one.Fingerprint));
        var over = await KeepAsync(connection, arrived, now, cancellationToken);
        return
        [
            .. fingerprints
                .Zip(messages)
                .Select(one =>
                    over.TryGetValue(one.First, out var limit)
                        ? new AppendResult.OverQuota(limit)
                        : (AppendResult)new AppendResult.Rejected(one.Second.Message.Reason, one.Second.What)
                ),
        ];
    }

    /// <summary>Adds what is within the limits. Returns the others with the limit that they are beyond.</summary>
    private async Task<Dictionary<string, string>> KeepAsync(
        NpgsqlConnection connection,
        List<NewDeadLetter> arrived,
        DateTimeOffset now,
        CancellationToken cancellationToken
    )
    {
        var over = new Dictionary<string, string>();
        if (arrived.Count == 0)
            return over;
        var waiting = await DeadLetterRows.CountWaitingAsync(connection, cancellationToken);
        var all = waiting.Sum(one => one.Messages);
        var ofDevice = waiting.ToDictionary(one => one.Device, one => one.Messages);
        var ofFarm = waiting.GroupBy(one => one.Farm).ToDictionary(own => own.Key, own => own.Sum(one => one.Messages));
        var within = new List<NewDeadLetter>();
        foreach (var message in arrived)
        {
            var (device, farm) = (message.Device, message.Farm!);
            var full =
                ofDevice.GetValueOrDefault(device) >= limits.WaitingPerDeviceMax
                    ? $"{limits.WaitingPerDeviceMax} messages of the device \"{message.Equipment}\" wait"
                : ofFarm.GetValueOrDefault(farm) >= limits.WaitingPerFarmMax
                    ? $"{limits.WaitingPerFarmMax} messages wait"
                : all >= limits.WaitingMax ? $"{limits.WaitingMax} messages of all farms wait"
                : null;
            if (full is not null)
            {
                over.Add(message.Fingerprint, Reason(message, full));
                continue;
            }
            ofDevice[device] = ofDevice.GetValueOrDefault(device) + 1;
            ofFarm[farm] = ofFarm.GetValueOrDefault(farm) + 1;
            all++;
            within.Add(message);
        }
        await DeadLetterRows.InsertAsync(connection, [.. within], overLimit: null, now, cancellationToken);
        return over;
    }

    private static string Reason(NewDeadLetter message, string full) =>
        message.Quota == NewDeadLetter.WaitingForFarm
            ? $"The farm \"{message.Farm}\" is not registered, and {full} for an import already. Import the farm file and retry the rejected messages, or close them."
            : $"The device \"{message.Equipment}\" sends other readings under known numbers, and {full} for a decision already. {message.Message.Reason}";
}
