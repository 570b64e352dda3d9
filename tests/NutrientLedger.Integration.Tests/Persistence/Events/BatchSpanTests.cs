using NutrientLedger.Integration.Tests.Farms;
using NutrientLedger.Integration.Tests.Fixtures;
using NutrientLedger.Integration.Tests.Hosts;

namespace NutrientLedger.Integration.Tests.Persistence.Events;

/// <summary>The index of batches that is written with their events.</summary>
public sealed class BatchSpanTests(TestDatabase database) : IClassFixture<TestDatabase>
{
    [DatabaseFact]
    public async Task Every_batch_has_a_row_with_its_numbers_and_the_times_of_readings_and_neighbours()
    {
        await using var store = await PersistenceTestHost.StartAsync(database.ConnectionString, false);
        await store.RecordAsync(Some.Farm, Some.ConfigurationEvents());
        await store.AppendAsync(Some.Message(5, 6), Some.Message(9, 9), Some.LevelMessage(1, 3));
        await store.AppendAsync(Some.Message(1, 12));

        Assert.Equal(
            [
                "spread spreader-1 1: 5-6, 5-6 s",
                "spread spreader-1 1: 9-9, 9-9 s",
                "store gauge-1 1: 1-3, 60-180 s",
                "spread spreader-1 1: 1-4, 1-5 s",
                "spread spreader-1 1: 7-8, 6-9 s",
                "spread spreader-1 1: 10-12, 9-12 s",
            ],
            await database.ReadAllAsync<string>(
                $"""
                select format('%s %s %s: %s-%s, %s-%s s', span.stream, equipment, boot, first_seq, last_seq,
                    (measured_from - start) / 1000, (measured_to - start) / 1000)
                from journal.batch_span as span join journal.event using (farm, position),
                    (values ({Some.Morning.ToUnixTimeMilliseconds()})) as morning (start)
                where batch is not null order by position
                """
            )
        );
        Assert.Equal(6, await database.ReadAsync<long>("select count(*) from journal.batch_span"));
    }
}
