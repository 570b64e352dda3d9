using Npgsql;
using NutrientLedger.Ledger.Configuration;
using NutrientLedger.Ledger.Readings;
using NutrientLedger.Persistence.Events;

namespace NutrientLedger.Persistence.Queries;

/// <summary>Searches the readings of a period in the journal for values that stay constant, jump or drift.</summary>
public sealed class FindingReader(NpgsqlDataSource source)
{
    private readonly JournalReader journal = new(source);

    /// <summary>
    /// Readings measured from one moment to before another. All of them are held in memory, so keep the period short.
    /// </summary>
    public async Task<IReadOnlyList<ReadingFinding>> FindAsync(
        string farmId,
        FarmConfiguration configuration,
        DateTimeOffset from,
        DateTimeOffset before,
        CancellationToken cancellationToken
    )
    {
        var first = from.ToUnixTimeMilliseconds();
        var gathered = new GatheredReadings(configuration, first, before.ToUnixTimeMilliseconds());
        var recordedFrom = QuestionableTime.RecordedFrom(configuration, first);
        await foreach (var row in journal.BatchesRecordedAsync(farmId, recordedFrom, cancellationToken))
            gathered.Add(row.Event, row.RecordedAt);
        return [.. gathered.Findings()];
    }
}
