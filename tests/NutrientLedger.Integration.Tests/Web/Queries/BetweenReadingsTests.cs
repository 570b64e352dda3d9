using System.Text.Json;
using NutrientLedger.Integration.Tests.Farms;
using NutrientLedger.Integration.Tests.Fixtures;
using NutrientLedger.Integration.Tests.Hosts;
using NutrientLedger.Journal;
using NutrientLedger.Journal.Spreading;
using NutrientLedger.Persistence.Messages;

namespace NutrientLedger.Integration.Tests.Web.Queries;

/// <summary>What a meter counted while no readings came is in the season's, the pit's and the page's sums.</summary>
public sealed class BetweenReadingsTests : IAsyncLifetime
{
    private readonly WebTestHost web = new();

    public Task InitializeAsync() => web.InitializeAsync();

    public Task DisposeAsync() => web.DisposeAsync();

    [DatabaseFact]
    public async Task What_a_meter_counted_between_two_boots_is_in_the_sums_of_season_pit_and_page()
    {
        using var farm = new SmallFarm("twice");
        await web.Import.ImportAsync(farm.Path, default);
        await web.PostAsync(farm.Spreading(1, 10));
        await web.PostAsync(Rebooted(farm, 40_600_000));
        await web.PostedAsync();

        var sheet = (await web.Sheets.SheetAsync("twice", null, default)).Value!;
        Assert.Equal(40.6, sheet.Elsewhere.BetweenReadings.CubicMetres, 1e-9);
        Assert.False(sheet.Elsewhere.BetweenReadings.AtLeast);
        Assert.Equal(0, sheet.Elsewhere.NotPlacedCubicMetres);
        Assert.Equal(40.6, sheet.Pits.Single().BetweenReadings!.CubicMetres, 1e-9);

        var pit = (await AskAsync("pits")).GetProperty("pits")[0];
        Assert.Equal(40.6, pit.GetProperty("betweenReadings").Number("cubicMetres"), 1e-9);
        var whole = (await AskAsync("reconciliations?pit=tank&from=2026-04-21&to=2026-04-22")).GetProperty("whole");
        Assert.Equal(40_600_000, whole.Number("betweenReadingsMillilitres"));
        Assert.Equal(40_600_000, whole.Number("outMillilitres"));

        var listed = Assert.Single((await AskAsync("interruptions")).GetProperty("interruptions").EnumerateArray());
        Assert.Equal(("rise", 40.6, 0), (listed.Text("change"), listed.Number("cubicMetres"), Step(listed)));
        var ends = (listed.GetProperty("before"), listed.GetProperty("after"));
        Assert.Equal(
            (1, 10, 2, 1),
            (End(ends.Item1, "boot"), End(ends.Item1, "seq"), End(ends.Item2, "boot"), End(ends.Item2, "seq"))
        );

        // Received ranges keep no past.
        pit = (await AskAsync($"pits?asOf={sheet.Position}")).GetProperty("pits")[0];
        Assert.Equal(JsonValueKind.Null, pit.GetProperty("betweenReadings").ValueKind);
    }

    [DatabaseFact]
    public async Task A_backlog_that_closes_a_gap_shrinks_what_was_metered_in_it_to_the_last_millilitre()
    {
        using var farm = new SmallFarm("late");
        await web.Import.ImportAsync(farm.Path, default);
        await web.PostAsync(farm.Spreading(1, 10));
        await web.PostAsync(farm.Spreading(31, 10));
        // Numbers 10 and 31 are 21 times 10 L apart.
        Assert.Equal((210_000, 180_000), await SumsAsync());

        await web.PostAsync(farm.Spreading(11, 10));
        Assert.Equal((110_000, 280_000), await SumsAsync());

        await web.PostAsync(farm.Spreading(21, 10));
        Assert.Equal((0, 390_000), await SumsAsync());
    }

    [DatabaseFact]
    public async Task A_meter_that_was_reset_while_off_leaves_a_minimum_and_a_named_step()
    {
        using var farm = new SmallFarm("reset");
        await web.Import.ImportAsync(farm.Path, default);
        await web.PostAsync(farm.Spreading(1, 10));
        await web.PostAsync(Rebooted(farm, -100_000));
        await web.PostedAsync();

        var sheet = (await web.Sheets.SheetAsync("reset", null, default)).Value!;
        Assert.Equal((0, true, 1), Said(sheet.Elsewhere.BetweenReadings.CubicMetres));
        Assert.Equal("Volume unknown: 1 interruption.", sheet.Elsewhere.BetweenReadings.Note);
        var listed = (await AskAsync("interruptions", "reset")).GetProperty("interruptions")[0];
        Assert.Equal(("fall", -0.1), (listed.Text("change"), Step(listed)));
        Assert.Equal(JsonValueKind.Null, listed.GetProperty("cubicMetres").ValueKind);
        var whole = (await AskAsync("reconciliations?pit=tank&from=2026-04-21&to=2026-04-22", "reset")).GetProperty(
            "whole"
        );
        Assert.Contains(
            "No readings came for a while: 1 time. What the meter counted meanwhile is unknown; what left the pit is at least this much.",
            whole.GetProperty("notes").EnumerateArray().Select(note => note.GetString())
        );

        (double, bool, int) Said(double volume) =>
            (volume, sheet.Elsewhere.BetweenReadings.AtLeast, sheet.Elsewhere.BetweenReadings.UnknownInterruptions);
    }

    [DatabaseFact]
    public async Task Balances_and_pits_say_that_there_are_intervals_of_unknown_volume()
    {
        using var farm = new SmallFarm("unknown");
        await web.Import.ImportAsync(farm.Path, default);
        await web.PostAsync(WithoutTotal(farm.Spreading(1, 10), 5));
        await web.PostedAsync();

        var balance = await AskAsync("fields/east/balance", "unknown");
        Assert.Contains(
            "Volume unknown: 2 intervals of this season's meters (meter reset, or no total and no flow), on no field.",
            balance.GetProperty("notes").EnumerateArray().Select(note => note.GetString())
        );
        var pit = (await AskAsync("pits", "unknown")).GetProperty("pits")[0];
        Assert.Contains("In 2 intervals the metered amount is unknown", pit.Text("note"), StringComparison.Ordinal);
    }

    private async Task<(double Between, double Spread)> SumsAsync()
    {
        await web.PostedAsync();
        var sheet = (await web.Sheets.SheetAsync("late", null, default)).Value!;
        return (
            Math.Round(sheet.Elsewhere.BetweenReadings.CubicMetres * 1e6, 3),
            Math.Round(sheet.Fields.Single(field => field.Field == "east").VolumeCubicMetres * 1e6, 3)
        );
    }

    private Task<JsonElement> AskAsync(string address, string farm = "twice") =>
        web.Client.AskAsync($"/api/farms/{farm}/{address}");

    private static double Step(JsonElement interruption) => interruption.Number("totalStepCubicMetres");

    private static double End(JsonElement end, string property) => end.Number(property);

    /// <summary>Ten readings of boot 2, five minutes after boot 1. Between them this much ran.</summary>
    private static DecodedMessage Rebooted(SmallFarm farm, long moreMillilitres) =>
        With(
            farm.Spreading(1, 10),
            batch =>
                batch with
                {
                    Boot = 2,
                    Readings =
                    [
                        .. batch.Readings.Select(reading =>
                            reading with
                            {
                                MeasuredAtMilliseconds = reading.MeasuredAtMilliseconds + 300_000,
                                // Boot 1 ends at 100 L and its first reading shows 10 L.
                                TotalMillilitres = reading.TotalMillilitres + 90_000 + moreMillilitres,
                            }
                        ),
                    ],
                }
        );

    private static DecodedMessage WithoutTotal(DecodedMessage message, int seq) =>
        With(
            message,
            batch =>
                batch with
                {
                    Readings = batch.Readings.SetItem(
                        seq - 1,
                        batch.Readings[seq - 1] with
                        {
                            TotalMillilitres = null,
                        }
                    ),
                }
        );

    private static DecodedMessage With(
        DecodedMessage message,
        Func<ReadingBatch<SpreadReading>, ReadingBatch<SpreadReading>> change
    ) => message with { Event = new SpreadingMeasured(change(((SpreadingMeasured)message.Event).Batch)) };
}
