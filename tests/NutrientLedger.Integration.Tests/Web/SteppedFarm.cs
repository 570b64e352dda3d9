using System.Text.Json;
using NutrientLedger.Integration.Tests.Farms;
using NutrientLedger.Integration.Tests.Hosts;
using NutrientLedger.Web.Contracts.Farms;

namespace NutrientLedger.Integration.Tests.Web;

/// <summary>
/// A drive at ten litres a second whose nitrogen steps up every ten seconds, with a sample beside the sensor in each
/// step. The laboratory finds about 0.8 × sensor + 0.6 g/L, so the slope is significant.
/// </summary>
internal static class SteppedFarm
{
    public static async Task BeginAsync(WebTestHost web, string id, string? rule, string place)
    {
        using var farm = new SmallFarm(id);
        if (rule is not null)
            farm.Write(
                farm.FarmText.Replace("onApplicator", place, StringComparison.Ordinal)
                    .Replace("\"plans\":", $"\"calibrationRules\": [ {rule} ],\n\"plans\":", StringComparison.Ordinal),
                SmallFarm.FieldsText
            );
        Assert.Empty((await web.Import.ImportAsync(farm.Path, default)).Problems);
        Assert.Equal(0, (await web.Import.ImportAsync(farm.Path, default)).Recorded);
        await web.PostAsync(farm.Spreading(1, 130, seq => Read((int)(1 + ((seq - 1) / 10)))));
    }

    /// <summary>The sensor's reading in a step, in mg/L: 2.3 g/L in the first one and upwards.</summary>
    public static int Read(int step) => 2_000 + (300 * step);

    /// <summary>The laboratory's value in a step, in g/L, inside the sensor's range.</summary>
    public static decimal Found(int step) => (0.8m * Read(step) / 1000) + 0.6m + (step % 2 == 0 ? 0.02m : -0.02m);

    /// <summary>Imports the reports of some steps; readings 10·step − 9 to 10·step lie in one.</summary>
    public static async Task<ImportOutcome> ReportAsync(
        WebTestHost web,
        string farm,
        int first,
        int last,
        Func<int, decimal> found,
        string? applicator
    )
    {
        var reports = Enumerable
            .Range(first, last - first + 1)
            .Select(step => new
            {
                id = $"r-{step}",
                sample = $"jar {step}",
                laboratory = "Fen Street laboratory",
                sampledFrom = SmallFarm.Morning.AddSeconds((10 * step) - 9),
                sampledTo = SmallFarm.Morning.AddSeconds((10 * step) + 1),
                sensor = applicator is null ? "nir" : null,
                applicator,
                method = "mixed grab samples",
                reportedOn = "2026-05-02",
                values = new[]
                {
                    new
                    {
                        what = "totalNitrogen",
                        value = found(step),
                        unit = "g/L",
                    },
                },
                by = "Ada Ash",
            });
        var path = Path.GetTempFileName();
        try
        {
            await File.WriteAllTextAsync(path, JsonSerializer.Serialize(new { reports }));
            var outcome = await web.Lab.ImportAsync(farm, path, default);
            Assert.Empty(outcome.Problems);
            return outcome;
        }
        finally
        {
            File.Delete(path);
        }
    }
}
