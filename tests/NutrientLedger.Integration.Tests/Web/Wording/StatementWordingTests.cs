using System.Net.Http.Json;
using System.Text.Json;
using NutrientLedger.Integration.Tests.Fixtures;
using NutrientLedger.Integration.Tests.Hosts;

namespace NutrientLedger.Integration.Tests.Web.Wording;

/// <summary>What a correction was is worded when queried, by the farm's clock and in the reader's units.</summary>
public sealed class StatementWordingTests(SpreadTestHost web) : IClassFixture<SpreadTestHost>
{
    private const string Statements = "/api/farms/asked/statements";

    [DatabaseFact]
    public async Task A_calibration_is_shown_in_the_farms_time_and_in_the_units_of_the_page()
    {
        await AdoptAsync(
            new
            {
                calibration = "n-1",
                sensor = "nir",
                analyte = "totalNitrogen",
                slope = 1.1,
                interceptMilligramsPerLitre = -120,
                validFrom = "2026-04-21T14:00:00Z",
                validTo = "2026-12-01T06:00:00Z",
                by = "Ada Ash",
                reason = "Laboratory finds more",
            }
        );
        await AdoptAsync(
            new
            {
                calibration = "d-1",
                sensor = "nir",
                analyte = "dryMatter",
                slope = 1,
                interceptPartsPerMillion = 2_500,
                validFrom = "2026-04-21T14:00:00Z",
                by = "Ada Ash",
                reason = "Laboratory finds more",
            }
        );
        JsonElement[] statements = [];
        await PersistenceTestHost.UntilAsync(async () =>
        {
            statements = [.. (await web.Client.AskAsync(Statements)).GetProperty("statements").EnumerateArray()];
            return statements.Length == 2;
        });

        // Chicago is five hours behind UTC in April and six in December; 0.12 × 8.3454 = 1.00.
        const string time = "from 2026-04-21 09:00 -05:00 to 2026-12-01 00:00 -06:00.";
        Assert.EndsWith($"− 1.00 lb/1,000 US gal {time}", statements[0].Text("whatUs"), StringComparison.Ordinal);
        Assert.EndsWith($"− 0.12 kg/m³ {time}", statements[0].Text("whatMetric"), StringComparison.Ordinal);
        Assert.EndsWith(
            "+ 0.25 % from 2026-04-21 09:00 -05:00 on.",
            statements[1].Text("whatUs"),
            StringComparison.Ordinal
        );

        var page = await web.Client.GetStringAsync($"{Statements}/{statements[0].GetProperty("position")}?print=1");
        Assert.Contains($"− 1.00 lb/1,000 US gal {time}", page, StringComparison.Ordinal);
        Assert.DoesNotContain("UTC", page, StringComparison.Ordinal);
    }

    private async Task AdoptAsync(object calibration)
    {
        using var answer = await web.Client.PostAsJsonAsync("/api/farms/asked/calibrations", calibration);
        Assert.True(answer.IsSuccessStatusCode, await answer.Content.ReadAsStringAsync());
    }
}
