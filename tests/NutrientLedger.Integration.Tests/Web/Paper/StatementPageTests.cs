using System.Collections.Immutable;
using System.Net;
using System.Net.Http.Json;
using System.Text.Json;
using System.Text.RegularExpressions;
using NutrientLedger.Integration.Tests.Fixtures;
using NutrientLedger.Integration.Tests.Hosts;
using NutrientLedger.Journal.Fields;
using NutrientLedger.Ledger.Configuration;
using NutrientLedger.Ledger.Corrections;
using NutrientLedger.Ledger.Fields;
using NutrientLedger.Persistence.Configuration;
using NutrientLedger.Web.Paper;
using NutrientLedger.Web.Wording;

namespace NutrientLedger.Integration.Tests.Web.Paper;

/// <summary>The printed statement of a correction without any laboratory report.</summary>
public sealed partial class StatementPageTests(SpreadTestHost web) : IClassFixture<SpreadTestHost>
{
    private const string Statements = "/api/farms/asked/statements";

    [DatabaseFact]
    public async Task A_void_is_printed_with_who_and_why_and_without_laboratory_text()
    {
        using var voided = await web.Client.PostAsJsonAsync(
            "/api/farms/asked/voids",
            new
            {
                equipment = "drag-line",
                stream = "spread",
                boot = 1,
                firstSeq = 41,
                lastSeq = 60,
                part = "reading",
                reason = "Fouled window",
                by = "Ada Ash",
            }
        );
        Assert.True(voided.IsSuccessStatusCode, await voided.Content.ReadAsStringAsync());
        var id = (await voided.Content.ReadFromJsonAsync<JsonElement>()).Text("id")!;

        JsonElement[] statements = [];
        await PersistenceTestHost.UntilAsync(async () =>
        {
            statements = [.. (await web.Client.AskAsync(Statements)).GetProperty("statements").EnumerateArray()];
            return statements.Length == 1;
        });
        Assert.Equal(id, statements[0].Text("id"));
        var page = WebUtility.HtmlDecode(
            await web.Client.GetStringAsync(
                $"{Statements}/{statements[0].GetProperty("position")}?print=1&units=metric"
            )
        );

        // 59 intervals of 10 L before; the 40 readings left have 39.
        foreach (
            var words in (string[])
                [
                    "Readings 41 to 60 of drag-line, boot 1, voided.",
                    "<dt>Decided by</dt><dd>Ada Ash</dd>",
                    "<dt>Reason</dt><dd>Fouled window</dd>",
                    "volume, m³</th><td>0.59</td><td>0.39</td><td>−0.20</td>",
                ]
        )
            Assert.Contains(words, page, StringComparison.Ordinal);
        Assert.DoesNotContain("Laboratory", page, StringComparison.Ordinal);
    }

    [Fact]
    public void Fields_come_first_each_pit_has_its_part_and_hours_of_levels_are_counted()
    {
        var moment = new DateTimeOffset(2026, 4, 21, 14, 0, 0, TimeSpan.Zero);
        var (much, part) = (Amounts(2, 3, flagged: 0.25m), Amounts(1, 2, flagged: 0.5m));
        var statement = new Statement(
            "f",
            new("source_changed", null, [], null, null, moment, 7),
            [
                new(null, null, 2026, part, null, [new("tank", part)]),
                new(
                    "east",
                    "East",
                    2026,
                    much,
                    new("minnesota", new(1, null), null, Unavailable.For(new FormsMeasuredApart())),
                    [new("tank", part), new(null, part)]
                ),
            ],
            [new("tank", 1)]
        );
        var chosen = new AvailabilitySetChosen("minnesota", 2026, ImmutableSortedDictionary<string, string>.Empty);
        var configuration = FarmConfiguration.Empty.With(
            new FarmRegistered("F", "America/Chicago", 10, 1, new(2026, 1, 1), new(90, 128))
        );

        var page = WebUtility.HtmlDecode(
            StatementPage.Of(
                statement,
                moment,
                new("f", 42, moment, new(41, "0a1b", 3, "2c3d")),
                new(new ConfigurationSnapshot("f", configuration, 1, [new(3, 1, moment, chosen)])),
                DisplayUnits.Metric
            )
        );

        foreach (var words in (string[])["up to position 41", "0a1b", "Seal over 3 farms", "2c3d"])
            Assert.Contains(words, page, StringComparison.Ordinal);
        Assert.Contains(
            "Changed: East (east), season 2026; outside all fields, season 2026; the level in 1 hour of pit tank.",
            page,
            StringComparison.Ordinal
        );
        Assert.Equal(
            [
                "East (east), season 2026",
                "All pits",
                "From pit tank",
                "Source pit unknown",
                "Outside all fields, season 2026",
                "From pit tank",
            ],
            Headings().Matches(page).Select(heading => heading.Groups[1].Value)
        );
        foreach (
            var words in (string[])
                [
                    "<dt>Decided by</dt><dd>not recorded</dd>",
                    "flagged readings, % of volume</th><td>25.00</td><td>25.00</td><td>none</td>",
                    "Flagged readings broke a rule",
                    "Available N by the factor set minnesota (Calculating manure application rates, University of Minnesota",
                    "Unknown: total and ammonium nitrogen were measured in different volumes.",
                    "total N, kg</th><td>2.00</td><td>3.00</td><td>+1.00</td>",
                    "dry matter, %</th><td>not known</td><td>not known</td><td>not known</td>",
                ]
        )
            Assert.Contains(words, page, StringComparison.Ordinal);
    }

    private static StatedAmounts Amounts(decimal before, decimal after, decimal flagged)
    {
        StatedAmount same = new(1, 1);
        return new(
            same,
            new(0, 0),
            new(0, 0),
            new(before, after),
            same,
            same,
            same,
            new(null, null),
            new(flagged, flagged),
            false
        );
    }

    [GeneratedRegex("<(?:h2|caption)>([^<]*)<")]
    private static partial Regex Headings();
}
