using System.Net.Http.Json;
using System.Text.Json;
using NutrientLedger.Integration.Tests.Farms;
using NutrientLedger.Integration.Tests.Fixtures;
using NutrientLedger.Integration.Tests.Hosts;
using NutrientLedger.Integration.Tests.Web.Commands;
using NutrientLedger.Journal.Spreading;
using NutrientLedger.Persistence.Messages;

namespace NutrientLedger.Integration.Tests.Web.Queries;

/// <summary>
/// Queries read only the lines of the seasons they need. Here a crop year begins between two days of work, at midnight
/// of 21 April on the farm, which is 5:00 UTC: 0.29 m³ on the day before it, 0.59 m³ on its first day.
/// </summary>
public sealed class SeasonLimitsTests(WebTestHost web) : IClassFixture<WebTestHost>
{
    private const string DayBefore = "2026-04-20T05:00:00Z";
    private const string Between = "2026-04-21T05:00:00Z";
    private const string DayAfter = "2026-04-22T05:00:00Z";

    [DatabaseFact]
    public async Task An_inventory_counts_what_was_drawn_in_its_time_in_every_season_of_it()
    {
        await WorkedAsync("stocked");

        Assert.Equal(0.88, await DrawnAsync(""), 1e-9);
        Assert.Equal(0.88, await DrawnAsync($"?from={DayBefore}&to={DayAfter}"), 1e-9);
        Assert.Equal(0.29, await DrawnAsync($"?from={DayBefore}&to={Between}"), 1e-9);
        Assert.Equal(0.29, await DrawnAsync($"?to={Between}"), 1e-9);
        Assert.Equal(0.59, await DrawnAsync($"?from={Between}"), 1e-9);

        async Task<double> DrawnAsync(string period) =>
            (await web.Client.AskAsync($"/api/farms/stocked/pits/tank/inventory{period}"))
                .GetProperty("pit")
                .Number("drawnByMeterCubicMetres");
    }

    [DatabaseFact]
    public async Task A_reconciliation_over_the_change_of_seasons_has_the_draws_of_both()
    {
        await WorkedAsync("reconciled");

        Assert.Equal((0.29, 0.59), await DrawnAsync("from=2026-04-20&to=2026-04-22"));
        Assert.Equal((0.29, 0), await DrawnAsync("from=2026-04-20&to=2026-04-21"));
        Assert.Equal((0, 0.59), await DrawnAsync("from=2026-04-21&to=2026-04-22"));

        async Task<(double Before, double After)> DrawnAsync(string period)
        {
            var answer = await web.Client.AskAsync($"/api/farms/reconciled/reconciliations?pit=tank&{period}");
            var days = answer.GetProperty("days").EnumerateArray().ToDictionary(day => day.Text("day")!);
            return (On("2026-04-20"), On("2026-04-21"));

            double On(string day) =>
                days.TryGetValue(day, out var known) ? known.Number("meteredCubicMetres") : default;
        }
    }

    [DatabaseFact]
    public async Task A_preview_shows_every_season_that_a_calibration_changes_and_no_other()
    {
        await WorkedAsync("previewed");
        await AnswerAsync("/api/farms/previewed/lab-results", LabResultTests.Report("r-1", 36m));

        Assert.Equal(["2026", "2027"], await ChangedAsync(DayBefore));
        Assert.Equal(["2027"], await ChangedAsync(Between));
        Assert.Empty(await ChangedAsync(DayAfter));

        async Task<IEnumerable<string>> ChangedAsync(string validFrom)
        {
            var preview = await AnswerAsync(
                "/api/farms/previewed/calibrations/preview",
                new
                {
                    calibration = "n-1",
                    sensor = "nir",
                    analyte = "totalNitrogen",
                    slope = 1.1,
                    interceptMilligramsPerLitre = 0,
                    validFrom,
                    labReports = new[] { "r-1" },
                    by = "Ada Ash",
                    reason = "Laboratory finds more",
                }
            );
            return preview
                .GetProperty("changes")
                .EnumerateArray()
                .Select(change => change.GetProperty("season").ToString())
                .Order(StringComparer.Ordinal);
        }
    }

    private async Task WorkedAsync(string id)
    {
        using var farm = new SmallFarm(id);
        farm.Write(farm.FarmText.Replace("\"10-01\"", "\"04-21\"", StringComparison.Ordinal), SmallFarm.FieldsText);
        Assert.Empty((await web.Import.ImportAsync(farm.Path, default)).Problems);
        await web.PostAsync(OnTheDayBefore(farm.Spreading(1, 30)));
        await web.PostAsync(farm.Spreading(1, 60));
    }

    /// <summary>The same drive a day earlier, before the device was started anew.</summary>
    private static DecodedMessage OnTheDayBefore(DecodedMessage message)
    {
        var batch = ((SpreadingMeasured)message.Event).Batch;
        const long Day = 24 * 3_600_000;
        return message with
        {
            Event = new SpreadingMeasured(
                batch with
                {
                    Boot = 0,
                    Readings =
                    [
                        .. batch.Readings.Select(reading =>
                            reading with
                            {
                                MeasuredAtMilliseconds = reading.MeasuredAtMilliseconds - Day,
                            }
                        ),
                    ],
                }
            ),
        };
    }

    private async Task<JsonElement> AnswerAsync(string address, object body)
    {
        using var response = await web.Client.PostAsJsonAsync(address, body);
        Assert.True(response.IsSuccessStatusCode, await response.Content.ReadAsStringAsync());
        return await response.Content.ReadFromJsonAsync<JsonElement>();
    }
}
