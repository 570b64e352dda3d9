using System.Net;
using System.Net.Http.Json;
using System.Text.Json;
using NutrientLedger.Integration.Tests.Fixtures;
using NutrientLedger.Integration.Tests.Hosts;
using NutrientLedger.Web.Contracts.Farms;

namespace NutrientLedger.Integration.Tests.Web.Commands;

/// <summary>Laboratory reports by API and by file on one small farm; each test has its own reports.</summary>
public sealed class LabResultTests(SpreadTestHost web) : IClassFixture<SpreadTestHost>
{
    private const string Results = "/api/farms/asked/lab-results";

    private HttpClient Client => web.Client;

    [DatabaseFact]
    public async Task A_report_is_recorded_as_printed_and_superseded_by_a_corrected_one_with_its_reason()
    {
        await PostAsync(Results, Report("a-1", 33.4m));
        Assert.Equal(1, (await PostAsync(Results, Report("a-1", 33.4m))).Number("unchanged"));
        await PostAsync($"{Results}/a-1/correct", Report("a-2", 30m, reason: "Diluted twice by mistake"));

        var listed = (await Client.AskAsync(Results)).GetProperty("reports").EnumerateArray().ToArray();
        var (first, second) = (Named(listed, "a-1"), Named(listed, "a-2"));
        Assert.Equal("a-2", first.Text("supersededBy"));
        Assert.Equal(("a-1", "Diluted twice by mistake"), (second.Text("supersedes"), second.Text("reason")));
        var value = Assert.Single(first.GetProperty("values").EnumerateArray());
        Assert.Equal(33.4, value.Number("value"));
        // 33.4 lb/1000 gal: 33.4 × 0.45359237 kg in 1000 × 3.785411784 L.
        Assert.Equal(33.4 * 453.59237 / 3.785411784, value.Number("milligramsPerLitre"), 1e-9);

        Assert.Contains(
            "correct \"a-2\"",
            await ProblemAsync($"{Results}/a-1/correct", Report("a-3", 31m, reason: "Again"))
        );
        Assert.Contains("already exists with other values", await ProblemAsync(Results, Report("a-1", 31m)));
    }

    [DatabaseFact]
    public async Task Reports_are_accepted_over_the_api_as_in_a_file_all_or_none()
    {
        object[] reports = [Report("m-1", 33m), Report("m-2", 34m)];
        Assert.Contains(
            "is more than 50 g/L",
            await ProblemAsync(Results, new { reports = reports.Append(Report("m-3", 3_400m)) })
        );
        Assert.Equal(2, (await PostAsync(Results, new { reports })).Number("recorded"));
    }

    [DatabaseFact]
    public async Task An_invalid_report_is_rejected_with_every_error()
    {
        var detail = await ProblemAsync(
            Results,
            new
            {
                id = "b-1",
                sample = "7",
                laboratory = "Fen Street laboratory",
                sampledFrom = "2026-04-21T14:00:00Z",
                sampledTo = "2026-04-21T14:00:30Z",
                sensor = "lost",
                method = "grab",
                reportedOn = "2026-05-02",
                values = new[]
                {
                    new
                    {
                        what = "totalNitrogen",
                        value = 0.4m,
                        unit = "furlong",
                    },
                },
                by = "Ada Ash",
                colour = "brown",
            }
        );

        Assert.All(
            new[] { "the sensor \"lost\"", "\"unit\" must be one of kg/m3", "\"colour\" is not known" },
            fault => Assert.Contains(fault, detail, StringComparison.Ordinal)
        );
        Assert.Contains("enter the sample's density", await ProblemAsync(Results, Report("b-2", 0.4m, unit: "%")));
    }

    [DatabaseFact]
    public async Task A_sample_taken_at_the_applicator_reports_the_lag_and_names_no_other_place()
    {
        await PostAsync(Results, Report("l-1", 4.3m, "kg/m3", place: "drag-line"));

        var pairs = await Client.AskAsync($"{Results}/pairs?sensor=nir&analyte=totalNitrogen");
        var pair = Assert.Single(pairs.GetProperty("pairs").EnumerateArray(), it => it.Text("report") == "l-1");
        // The sensor is on the applicator, so the same flow passed it as passed a sampled one beside it.
        Assert.Equal(("drag-line", "none"), (pair.Text("applicator"), pair.Text("lag")));
        Assert.Equal(0.29, pair.Number("volumeCubicMetres"), 1e-12);
        Assert.Contains(
            "name only one place",
            await ProblemAsync(Results, Report("l-2", 4.3m, "kg/m3", place: "drag-line", sensor: "nir"))
        );
        Assert.Contains(
            "the applicator \"nir\"",
            await ProblemAsync(Results, Report("l-3", 4.3m, "kg/m3", place: "nir"))
        );
    }

    [DatabaseFact]
    public async Task A_table_and_a_json_file_say_the_same_and_one_error_rejects_the_whole_file()
    {
        var folder = Directory.CreateTempSubdirectory("lab-");
        try
        {
            const string Table = """
                id,sample,laboratory,sampledFrom,sampledTo,pit,method,reportedOn,by,density,densityUnit,what,value,unit,basis,corrects,reason
                c-1,4,"Fen Street, laboratory",2026-04-21T14:00:00Z,2026-04-21T14:10:00Z,tank,mixed grab samples,2026-05-02,Ada Ash,1.02,kg/L,dryMatter,6.2,%,,,
                c-1,,,,,,,,,,,totalNitrogen,0.41,%,,,
                c-2,4,"Fen Street, laboratory",2026-04-21T14:00:00Z,2026-04-21T14:10:00Z,tank,mixed grab samples,2026-05-09,Ada Ash,,,totalNitrogen,4.0,kg/m3,asIs,c-1,Measured again
                """;
            const string Json = """
                { "reports": [ {
                  "id": "c-1", "sample": "4", "laboratory": "Fen Street, laboratory",
                  "sampledFrom": "2026-04-21T14:00:00Z", "sampledTo": "2026-04-21T14:10:00Z", "pit": "tank",
                  "method": "mixed grab samples", "reportedOn": "2026-05-02", "by": "Ada Ash", "density": 1.02, "densityUnit": "kg/L",
                  "values": [ { "what": "dryMatter", "value": 6.2, "unit": "%" }, { "what": "totalNitrogen", "value": 0.41, "unit": "%" } ]
                } ] }
                """;
            var (table, json, broken) = (Path("reports.csv"), Path("reports.json"), Path("broken.csv"));
            await File.WriteAllTextAsync(table, Table);
            await File.WriteAllTextAsync(json, Json);
            await File.WriteAllTextAsync(
                broken,
                Table
                    .Replace("c-", "d-", StringComparison.Ordinal)
                    .Replace("0.41,%", "much,%", StringComparison.Ordinal)
            );

            var faulty = await web.Lab.ImportAsync("asked", broken, default);
            Assert.Equal(0, faulty.Recorded);
            Assert.Equal(3, Assert.Single(faulty.Problems).Line);
            Assert.Equal(new ImportOutcome("asked", 2, 0, []), await ImportAsync(table));
            Assert.Equal(new ImportOutcome("asked", 0, 2, []), await ImportAsync(table));
            Assert.Equal(new ImportOutcome("asked", 0, 1, []), await ImportAsync(json));
            Assert.DoesNotContain(
                (await Client.AskAsync(Results)).GetProperty("reports").EnumerateArray(),
                report => report.Text("report")!.StartsWith('d')
            );

            string Path(string name) => System.IO.Path.Combine(folder.FullName, name);
        }
        finally
        {
            folder.Delete(recursive: true);
        }
    }

    private async Task<ImportOutcome> ImportAsync(string path)
    {
        var outcome = await web.Lab.ImportAsync("asked", path, default);
        Assert.Empty(outcome.Problems);
        return outcome with { Problems = [] };
    }

    private async Task<JsonElement> PostAsync(string address, object body)
    {
        using var response = await Client.PostAsJsonAsync(address, body);
        Assert.True(response.IsSuccessStatusCode, await response.Content.ReadAsStringAsync());
        return await response.Content.ReadFromJsonAsync<JsonElement>();
    }

    private async Task<string> ProblemAsync(string address, object body)
    {
        using var response = await Client.PostAsJsonAsync(address, body);
        Assert.Equal(HttpStatusCode.BadRequest, response.StatusCode);
        return (await response.Content.ReadFromJsonAsync<JsonElement>()).Text("detail")!;
    }

    private static JsonElement Named(JsonElement[] listed, string id) =>
        Assert.Single(listed, report => report.Text("report") == id);

    internal static object Report(
        string id,
        decimal nitrogen,
        string unit = "lb/1000 US gal",
        string? reason = null,
        string? place = null,
        string? sensor = null
    ) =>
        new
        {
            id,
            // A jar of its own, or reports of other tests would be of the same sample.
            sample = $"jar of {id}",
            laboratory = "Fen Street laboratory",
            sampledFrom = "2026-04-21T14:00:00Z",
            sampledTo = "2026-04-21T14:00:30Z",
            sensor = sensor ?? (place is null ? "nir" : null),
            applicator = place,
            method = "mixed grab samples",
            reportedOn = "2026-05-02",
            values = new[]
            {
                new
                {
                    what = "totalNitrogen",
                    value = nitrogen,
                    unit,
                },
            },
            by = "Ada Ash",
            reason,
        };
}
