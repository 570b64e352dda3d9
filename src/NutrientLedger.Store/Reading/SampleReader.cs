using Npgsql;
using NutrientLedger.Journal.Spreading;
using NutrientLedger.Ledger;

namespace NutrientLedger.Store;

/// <summary>Reads from the journal what ran past a sensor while samples were taken.</summary>
public sealed class SampleReader(NpgsqlDataSource source)
{
    // A device's clock may run ahead of the hub's by a while, and a decision may move readings by a day; a day covers what is not doubtful.
    private static readonly TimeSpan Ahead = TimeSpan.FromDays(1);

    private readonly JournalRows journal = new(source);

    /// <summary>Adds up all windows in one pass over the packs of the senders under which the sensor was ever mounted.</summary>
    public async Task AddAsync(
        string farmId,
        Register register,
        string sensorId,
        IReadOnlyList<SampledWindow> windows,
        PassedSensor passed,
        CancellationToken cancellationToken
    )
    {
        if (windows.Count == 0)
            return;
        // Whatever was measured in a window was recorded on its day or later: earlier days need not be read, unless a clock was put right.
        var first = register.Decisions.Any()
            ? DateTimeOffset.UnixEpoch
            : DateTimeOffset.FromUnixTimeMilliseconds(windows.Min(window => window.FromMilliseconds)) - Ahead;
        foreach (
            var equipment in register
                .Sensors.Where(it => it.SensorId == sensorId)
                .Select(it => it.EquipmentId)
                .Distinct()
        )
        await foreach (
            var row in journal.SpreadAsync(
                farmId,
                equipment,
                DateOnly.FromDateTime(first.UtcDateTime),
                cancellationToken
            )
        )
            passed.Add(((SpreadingMeasured)row.Entry).Pack, row.RecordedAt);
    }
}
