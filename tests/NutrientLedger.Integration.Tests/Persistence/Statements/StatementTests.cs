using System.Text.Json;
using NutrientLedger.Integration.Tests.Farms;
using NutrientLedger.Integration.Tests.Fixtures;
using NutrientLedger.Integration.Tests.Hosts;
using NutrientLedger.Journal;
using NutrientLedger.Journal.Readings;
using NutrientLedger.Journal.Sampling;
using NutrientLedger.Journal.Storage;
using NutrientLedger.Journal.StoredEvents;

namespace NutrientLedger.Integration.Tests.Persistence.Statements;

public sealed class StatementTests(TestDatabase database) : IClassFixture<TestDatabase>
{
    private static readonly IJournalEvent[] Corrections =
    [
        Calibration("n-1", 1_100_000),
        new CalibrationWithdrawn("n-1", "Ada Ash", "Sample mixed up"),
        Some.Redrawn(-949_999_000),
        new SourceChanged(Some.Applicator, "pond", Some.Morning.AddDays(-1)),
        new ReadingsVoided(
            "v-1",
            Some.Applicator,
            TelemetryStream.Spread,
            1,
            10,
            40,
            VoidedPart.Reading,
            "Air in the hose",
            "Ada Ash"
        ),
        new VoidWithdrawn("v-1", "It was none", "Ada Ash"),
        new QuestionableTimeDecided(
            Some.Applicator,
            TelemetryStream.Spread,
            1,
            50,
            60,
            TimeDecision.LeftOut,
            0,
            "Clock",
            "Ada Ash"
        ),
        new ReadingLimitsSet(
            null,
            Some.Morning.AddDays(-1),
            [new(LimitedQuantity.TotalNitrogen, 0, 4_020, "common practice")]
        ),
    ];

    [DatabaseFact]
    public async Task Every_correction_has_one_statement_and_first_registrations_have_none()
    {
        await using var store = await SpreadAsync();
        await store.RecordAsync(Some.Farm, Corrections);
        await KeptAsync(Corrections.Length);

        Assert.Equal(
            Corrections.Select(EventTypes.NameOf),
            await database.ReadAllAsync<string>(
                "select body::jsonb -> 'cause' ->> 'kind' from ledger.statement order by position"
            )
        );
        var nitrogen = await NitrogenAsync();
        // Adopted: a tenth more; withdrawn: a tenth less, to the last digit.
        Assert.Equal((nitrogen[0].Before * 1.1m, nitrogen[0].Before), (nitrogen[0].After, nitrogen[1].After));
        Assert.Equal(nitrogen[0].After, nitrogen[1].Before);
        var audit = await store.AuditAsync();
        Assert.Empty(audit.Findings);
        Assert.Equal(Corrections.Length, audit.Statements);
    }

    [DatabaseFact]
    public async Task Late_readings_change_no_stored_statement_and_the_next_one_counts_them()
    {
        await using var store = await SpreadAsync();
        await store.RecordAsync(Some.Farm, Calibration("n-1", 1_100_000));
        await KeptAsync(1);
        var kept = await TextsAsync();

        await store.AppendAsync(Some.Message(301, 390));
        await store.RecordAsync(Some.Farm, Calibration("n-2", 1_200_000));
        await KeptAsync(2);

        Assert.Equal(kept[0], (await TextsAsync())[0]);
        var nitrogen = await NitrogenAsync();
        Assert.True(nitrogen[1].Before > nitrogen[0].After);
        Assert.Empty((await store.AuditAsync()).Findings);
    }

    [DatabaseFact]
    public async Task A_hub_cut_off_while_storing_a_statement_makes_each_once_even_beside_another_hub()
    {
        IReadOnlyList<string> whole;
        await using (var store = await SpreadAsync())
        {
            await store.RecordAsync(Some.Farm, Corrections);
            await KeptAsync(Corrections.Length);
            whole = await TextsAsync();
        }
        // From here on, the first two times, the session is killed after the statement was written and before its
        // progress is stored.
        await database.RunAsync(
            """
            delete from ledger.statement; delete from ledger.statement_progress;
            create sequence tries;
            create function cut_off() returns trigger language plpgsql as $$
            begin
                if nextval('tries') in (2, 4) then
                    perform pg_terminate_backend(pg_backend_pid());
                    perform pg_sleep(5);
                end if;
                return new;
            end $$;
            create trigger cut_off before insert on ledger.statement_progress for each row execute function cut_off();
            """
        );
        await using var one = await PersistenceTestHost.StartAsync(database.ConnectionString);
        await using var other = await PersistenceTestHost.StartAsync(database.ConnectionString);
        await KeptAsync(Corrections.Length);

        Assert.Equal(whole, await TextsAsync());
        Assert.True(await database.ReadAsync<long>("select last_value from tries") >= Corrections.Length + 2);
    }

    [DatabaseFact]
    public async Task A_changed_a_missing_and_an_invented_statement_are_found()
    {
        await using var store = await SpreadAsync();
        await store.RecordAsync(Some.Farm, Corrections[..3]);
        await KeptAsync(3);
        await database.RunAsync(
            """
            update ledger.statement set body = replace(body, 'Ada Ash', 'Ada Oak') where position = (select min(position) from ledger.statement);
            delete from ledger.statement where position = (select max(position) from ledger.statement);
            insert into ledger.statement (farm, position, body) values ('alder-bank', 1, '{}')
            """
        );
        var findings = (await store.AuditAsync()).Findings;

        Assert.All(
            new[] { "differs from one built from the journal", "is missing", "statement 1 belongs to no correction" },
            words => Assert.Single(findings, finding => finding.Contains(words, StringComparison.Ordinal))
        );
        Assert.Equal(3, findings.Count);
    }

    private static CalibrationAdopted Calibration(string id, long slope) =>
        new(
            id,
            "sensor-1",
            Analyte.TotalNitrogen,
            slope,
            0,
            Some.Morning.AddDays(-1),
            null,
            null,
            ["r-1"],
            "Ada Ash",
            "Laboratory finds more"
        );

    private async Task<PersistenceTestHost> SpreadAsync()
    {
        await database.EmptyAsync();
        var store = await PersistenceTestHost.StartAsync(database.ConnectionString);
        await store.RecordAsync(Some.Farm, Some.ConfigurationEvents());
        await store.AppendAsync(Some.Message(1, 150), Some.Message(151, 300), Some.LevelMessage(1, 30));
        return store;
    }

    private Task KeptAsync(int statements) =>
        PersistenceTestHost.UntilAsync(async () =>
            await database.ReadAsync<long>("select count(*) from ledger.statement") >= statements
            && await database.ReadAsync<bool>(
                "select (select max(position) from ledger.statement_progress) >= (select max(position) from journal.event where stream = 'configuration')"
            )
        );

    private Task<IReadOnlyList<string>> TextsAsync() =>
        database.ReadAllAsync<string>("select body from ledger.statement order by position");

    /// <summary>Total nitrogen of the first field that each statement names.</summary>
    private async Task<List<(decimal Before, decimal After)>> NitrogenAsync() =>
        [
            .. from text in await TextsAsync()
            let fields = JsonDocument.Parse(text).RootElement.GetProperty("fields")
            where fields.GetArrayLength() > 0
            let nitrogen = fields[0].GetProperty("amounts").GetProperty("totalNitrogenKilograms")
            select (nitrogen.GetProperty("before").GetDecimal(), nitrogen.GetProperty("after").GetDecimal()),
        ];
}
