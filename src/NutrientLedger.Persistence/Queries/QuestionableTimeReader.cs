using Npgsql;
using NutrientLedger.Journal.Spreading;
using NutrientLedger.Journal.Storage;
using NutrientLedger.Journal.Weather;
using NutrientLedger.Ledger.Configuration;
using NutrientLedger.Ledger.Readings;
using NutrientLedger.Persistence.Events;

namespace NutrientLedger.Persistence.Queries;

/// <summary>Finds in the journal the readings with a questionable time that nobody has decided.</summary>
public sealed class QuestionableTimeReader(NpgsqlDataSource source)
{
    private readonly JournalReader journal = new(source);

    /// <summary>
    /// In the order in which they began to be recorded. The whole journal is read, but never held in memory.
    /// </summary>
    public async Task<IReadOnlyList<QuestionableRange>> UndecidedAsync(
        string farmId,
        FarmConfiguration configuration,
        CancellationToken cancellationToken
    )
    {
        var waiting = new List<QuestionableRange>();
        await foreach (var row in journal.BatchesAsync(farmId, 0, long.MaxValue, cancellationToken))
            waiting.AddRange(
                row.Event switch
                {
                    SpreadingMeasured measured => QuestionableRange.Of(measured.Batch, row.RecordedAt, configuration),
                    StorageLevelMeasured measured => QuestionableRange.Of(
                        measured.Batch,
                        row.RecordedAt,
                        configuration
                    ),
                    WeatherMeasured measured => QuestionableRange.Of(measured.Batch, row.RecordedAt, configuration),
                    _ => [],
                }
            );
        return QuestionableRange.Joined(waiting);
    }
}
