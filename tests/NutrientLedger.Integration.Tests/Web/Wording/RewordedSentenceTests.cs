using System.Net;
using NutrientLedger.Integration.Tests.Farms;
using NutrientLedger.Integration.Tests.Fixtures;
using NutrientLedger.Integration.Tests.Hosts;
using NutrientLedger.Journal.Sampling;
using NutrientLedger.Ledger.Corrections;
using NutrientLedger.Web.Paper;
using NutrientLedger.Web.Wording;

namespace NutrientLedger.Integration.Tests.Web.Wording;

/// <summary>Sentences are made when a statement is read. Rewording one changes the page and nothing stored.</summary>
public sealed class RewordedSentenceTests(TestDatabase database) : IClassFixture<TestDatabase>
{
    private const string Texts = "select body from ledger.statement order by position";

    [DatabaseFact]
    public async Task A_reworded_sentence_shows_on_an_old_statement_and_verify_finds_nothing()
    {
        await database.EmptyAsync();
        await using var store = await PersistenceTestHost.StartAsync(database.ConnectionString);
        await store.RecordAsync(Some.Farm, Some.ConfigurationEvents());
        await store.AppendAsync(Some.Message(1, 150), Some.LevelMessage(1, 30));
        await store.RecordAsync(
            Some.Farm,
            new CalibrationAdopted(
                "n-1",
                "sensor-1",
                Analyte.TotalNitrogen,
                1_100_000,
                0,
                Some.Morning.AddDays(-1),
                null,
                null,
                ["r-1"],
                "Ada Ash",
                "Laboratory finds more"
            )
        );
        await PersistenceTestHost.UntilAsync(async () =>
            await database.ReadAsync<long>("select count(*) from ledger.statement") == 1
        );
        var kept = Assert.Single(await database.ReadAllAsync<string>(Texts));

        var at = await store.Configurations.ReadAsync(Some.Farm, null, CancellationToken.None);
        var before = Page(new StatementWording(at));
        var after = Page(new StatementWording(at, (_, units) => $"Mended, in {units.Volume}."));

        Assert.Contains("<p>Calibration n-1 adopted: total nitrogen by sensor sensor-1 is 1.1", before);
        Assert.Contains("<p>Mended, in m³.</p>", after);
        Assert.Empty((await store.AuditAsync()).Findings);
        Assert.Equal(kept, Assert.Single(await database.ReadAllAsync<string>(Texts)));

        string Page(StatementWording wording) =>
            WebUtility.HtmlDecode(
                StatementPage.Of(StatementCodec.Decode(kept), Some.Morning, null, wording, DisplayUnits.Metric)
            );
    }
}
