using Npgsql;
using NutrientLedger.Ledger;

namespace NutrientLedger.Store;

/// <summary>Looks through the readings of a period in the journal for values that stand still, leap or drift.</summary>
public sealed class FindingReader(NpgsqlDataSource source)
{
    // A reading counts only if it was recorded at most 300 s before the time it claims, or a person moved its time back to before then.
    private static readonly TimeSpan RecordedEarlier = TimeSpan.FromSeconds(300);

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
        var gathered = new GatheredReadings(register, from.ToUnixTimeMilliseconds(), before.ToUnixTimeMilliseconds());
        var recordedFrom = from - RecordedEarlier;
        await foreach (var row in journal.PacksRecordedAsync(farmId, recordedFrom, cancellationToken))
            gathered.Add(row.Entry, row.RecordedAt);
        return [.. gathered.Findings()];
    }
}
