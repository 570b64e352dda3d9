using Npgsql;
using NutrientLedger.Ledger;

namespace NutrientLedger.Store;

/// <summary>Looks through the readings of a period in the journal for values that stand still, leap or drift.</summary>
public sealed class FindingReader(NpgsqlDataSource source)
{
    private readonly JournalRows journal = new(source);

    /// <summary>Readings measured from one moment to before another; all of them are held, so keep the period short.</summary>
    public async Task<IReadOnlyList<ReadingFinding>> FindAsync(
        string farmId,
        Register register,
        DateTimeOffset from,
        DateTimeOffset before,
        CancellationToken cancellationToken
    )
    {
        var first = from.ToUnixTimeMilliseconds();
        var gathered = new GatheredReadings(register, first, before.ToUnixTimeMilliseconds());
        var recordedFrom = Doubtful.RecordedFrom(register, first);
        await foreach (var row in journal.PacksRecordedAsync(farmId, recordedFrom, cancellationToken))
            gathered.Add(row.Entry, row.RecordedAt);
        return [.. gathered.Findings()];
    }
}
