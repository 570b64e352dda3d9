using System.Collections.Immutable;
using System.Net.Http.Json;
using System.Text.Json;
using NutrientLedger.Integration.Tests.Fixtures;
using NutrientLedger.Integration.Tests.Hosts;
using NutrientLedger.Journal.Fields;
using NutrientLedger.Ledger.Configuration;
using NutrientLedger.Persistence.Configuration;
using NutrientLedger.Web.Wording;

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

    [Fact]
    public void The_source_of_a_factor_set_is_that_of_the_choice_before_the_statement()
    {
        var wording = new StatementWording(
            new("f", FarmConfiguration.Empty, 1, [Chosen(3, "2024"), Chosen(5, "2025"), Chosen(9, "2026")])
        );

        Assert.Equal("Available N by the factor set ours (Trials until 2024, The farm).", Available(4));
        Assert.Equal("Available N by the factor set ours (Trials until 2025, The farm).", Available(7));

        string Available(long position) =>
            wording.AvailableBy(
                new("ours", new(1, 2), null, null),
                new("calibration_adopted", "c", [], null, null, DateTimeOffset.UnixEpoch, position)
            );
    }

    /// <summary>A choice of the farm's own set, which the farm has written anew.</summary>
    private static RecordedEvent Chosen(long position, string until)
    {
        var own = $$"""
            { "id": "ours", "title": "Trials until {{until}}", "publisher": "The farm", "region": "here", "scheme": "ammonium-and-organic",
              "coefficients": [
                { "name": "ammonium-retained/injected", "value": 0.95, "unit": "of ammonium N", "place": "trials", "mark": "own value", "when": { "method": "sweep-injection" } }
              ] }
            """;
        var chosen = new AvailabilitySetChosen("ours", 2026, ImmutableSortedDictionary<string, string>.Empty, own);
        return new(position, 1, DateTimeOffset.UnixEpoch, chosen);
    }

    private async Task AdoptAsync(object calibration)
    {
        using var answer = await web.Client.PostAsJsonAsync("/api/farms/asked/calibrations", calibration);
        Assert.True(answer.IsSuccessStatusCode, await answer.Content.ReadAsStringAsync());
    }
}
