using System.Net.Http.Json;
using System.Text.Json;
using NutrientLedger.Integration.Tests.Farms;
using NutrientLedger.Integration.Tests.Fixtures;
using NutrientLedger.Integration.Tests.Hosts;

namespace NutrientLedger.Integration.Tests.Hub.Commands;

/// <summary>
/// Calibrations in a file are previewed from the terminal: the same response as the preview over the API, and nothing
/// stored.
/// </summary>
public sealed class CalibrationPreviewCommandTests(WebTestHost web) : IClassFixture<WebTestHost>
{
    private const string Nitrogen = """
        {
          "calibration": "n-1",
          "sensor": "nir",
          "analyte": "totalNitrogen",
          "slope": 1.1,
          "interceptMilligramsPerLitre": -50,
          "validFrom": "2026-04-21T14:00:00Z",
          "reason": "Laboratory finds more"
        }
        """;

    private const string Potassium = """
        {"calibration": "k-1", "sensor": "nir", "analyte": "potassium", "slope": 0.9, "validFrom": "2026-04-21T14:00:00Z", "reason": "Laboratory finds less"}
        """;

    [DatabaseFact]
    public async Task What_a_file_would_change_is_what_the_preview_says_and_nothing_is_stored()
    {
        await SpreadAsync("preview");
        var before = await JournalAndLedgerAsync();
        var (code, output) = await RunAsync("preview", Nitrogen, "--json");
        Assert.True(code == 0, output);
        var printed = JsonDocument.Parse(output).RootElement;

        using var preview = await web.Client.PostAsync(
            "/api/farms/preview/calibrations/preview",
            new StringContent(Nitrogen, null, "application/json")
        );
        var answer = await preview.Content.ReadFromJsonAsync<JsonElement>();
        Assert.Equal(answer.GetProperty("changes").GetRawText(), printed.GetProperty("changes").GetRawText());
        // 59 intervals of 10 L: 1.1 × 2.36 kg − 0.05 kg/m³ × 0.59 m³.
        Assert.Equal(
            2.5665,
            printed.GetProperty("changes")[0].GetProperty("after").Number("totalNitrogenKilograms"),
            1e-9
        );
        Assert.Equal(before, await JournalAndLedgerAsync());
    }

    [DatabaseFact]
    public async Task A_list_is_preview_together_and_printed_by_field_and_nutrient()
    {
        await SpreadAsync("listed");
        var (code, table) = await RunAsync("listed", $"[{Nitrogen}, {Potassium}]", "--metric");
        Assert.True(code == 0, table);
        Assert.Contains("n-1, k-1", table);
        // 0.59 m³ with 4 and 3 kg/m³ of N and K; K2O is 1.2051 × K.
        Assert.Matches(@"east\W+2026\W+total N, kg\W+2\.4\W+2\.6\W+\+0\.2", table);
        Assert.Matches(@"east\W+2026\W+K2O, kg\W+2\.1\W+1\.9\W+-0\.2", table);
        Assert.DoesNotContain("ammonium", table);
        Assert.Contains("Nothing was stored", table);
        var (_, pounds) = await RunAsync("listed", Nitrogen);
        Assert.Matches(@"total N, lb\W+5\.2\W+5\.7", pounds);
    }

    [DatabaseFact]
    public async Task Every_error_of_a_file_is_named_with_its_line()
    {
        await SpreadAsync("faulty");
        const string faulty = """
            [
              {
                "calibration": "n-1",
                "sensor": "unknown",
                "analyte": "totalNitrogen",
                "slope": -1,
                "validFrom": "2026-04-21T14:30:00Z",
                "labReports": ["r-9"],
                "reason": "Laboratory finds more"
              },
              {
                "calibration": "n-1",
                "sensor": "nir",
                "analyte": "totalNitrogen",
                "slop": 1.1,
                "slope": "much",
                "validFrom": "yesterday",
                "reason": "Laboratory finds more"
              }
            ]
            """;
        var (code, output) = await RunAsync("faulty", faulty);
        Assert.Equal(1, code);
        Assert.All(
            new[]
            {
                "preview.json(4)",
                "preview.json(6)",
                "preview.json(7)",
                "preview.json(8)",
                "preview.json(12)",
                "preview.json(15)",
                "preview.json(16)",
                "preview.json(17)",
                "No preview: fix 8 errors.",
            },
            fault => Assert.Contains(fault, output)
        );
        Assert.Contains("preview.json(3)", (await RunAsync("faulty", "[\n{},\n3]")).Output);
        Assert.Contains("empty", (await RunAsync("faulty", "[]")).Output);
        Assert.Contains("not valid JSON", (await RunAsync("faulty", "calibration")).Output);
    }

    [DatabaseFact]
    public async Task A_trial_needs_a_file_and_allows_no_switch_and_no_earlier_time()
    {
        await SpreadAsync("alone");
        Assert.Contains("--with is a preview", (await RunAsync("alone", Nitrogen, "--switch")).Output);
        Assert.Contains("--with is a preview", (await RunAsync("alone", Nitrogen, "--as-of", "1")).Output);
        await using var hub = HubProcess.Start(
            "replay",
            "alone",
            "--with",
            "/nowhere/preview.json",
            "--database",
            web.Database.ConnectionString
        );
        Assert.Equal(1, await hub.EndAsync());
        Assert.Contains("cannot be read", hub.Output);
    }

    private async Task SpreadAsync(string id)
    {
        using var farm = new SmallFarm(id);
        await web.Import.ImportAsync(farm.Path, default);
        await web.PostAsync(farm.Spreading(1, 60));
    }

    /// <summary>Everything that a stored calibration would have changed.</summary>
    private Task<string> JournalAndLedgerAsync() =>
        web.Database.ReadAsync<string>(
            """
            select (select count(*) from journal.event) || ' ' || (select max(position) from journal.event) || ' '
                || (select string_agg(line::text, ' ' order by line::text) from ledger.line)
            """
        );

    private async Task<(int Code, string Output)> RunAsync(string farm, string file, params string[] options)
    {
        var folder = Directory.CreateTempSubdirectory("preview-");
        try
        {
            var path = Path.Combine(folder.FullName, "preview.json");
            await File.WriteAllTextAsync(path, file);
            await using var hub = HubProcess.Start([
                "replay",
                farm,
                "--with",
                path,
                .. options,
                "--database",
                web.Database.ConnectionString,
            ]);
            var code = await hub.EndAsync();
            return (code, hub.Output.Trim());
        }
        finally
        {
            folder.Delete(recursive: true);
        }
    }
}
