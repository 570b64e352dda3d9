using System.Text.Json;
using NutrientLedger.Integration.Tests.Farms;
using NutrientLedger.Integration.Tests.Hosts;
using NutrientLedger.Journal.Spreading;
using NutrientLedger.Web.Contracts.Farms;

namespace NutrientLedger.Integration.Tests.Web;

/// <summary>
/// Drives at ten litres a second whose nitrogen steps up every ten seconds, two steps a day. There is a sample beside
/// the sensor in each step. The laboratory finds about 0.8 × sensor + 0.6 g/L, so the slope is significant.
/// </summary>
internal static class SteppedFarm
{
    public static async Task BeginAsync(WebTestHost web, string id, string? rule, string place, int steps = 13)
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
        var drive = farm.Spreading(1, 10 * steps, seq => Read(StepOf(seq)));
        var batch = ((SpreadingMeasured)drive.Event).Batch;
        var days = batch.Readings.Select(
            (reading, i) =>
                reading with
                {
                    MeasuredAtMilliseconds = reading.MeasuredAtMilliseconds + DayOf(StepOf(i + 1)) * 86_400_000L,
                }
        );
        await web.PostAsync(drive with { Event = new SpreadingMeasured(batch with { Readings = [.. days] }) });
    }

    /// <summary>The sensor's reading in a step, in mg/L: 2.3 g/L in the first one and upwards.</summary>
    public static int Read(int step) => 2_000 + (300 * step);

    /// <summary>The laboratory's value in a step, in g/L, inside the sensor's range.</summary>
    public static decimal Found(int step) => (0.8m * Read(step) / 1000) + 0.6m + (step % 2 == 0 ? 0.02m : -0.02m);

    private static int StepOf(long seq) => (int)(1 + ((seq - 1) / 10));

    private static int DayOf(int step) => (step - 1) / 2;

    /// <summary>Imports the reports of some steps; readings 10·step − 9 to 10·step lie in one.</summary>
    public static async Task<ImportOutcome> ReportAsync(
        WebTestHost web,
        string farm,
        int first,
        int last,
        Func<int, decimal> found,
        string? applicator,
        string idEnd = ""
    )
    {
        var reports = Enumerable
            .Range(first, last - first + 1)
            .Select(step => new
            {
                id = $"r-{step}{idEnd}",
                sample = $"jar {step}",
                laboratory = "Fen Street laboratory",
                sampledFrom = SmallFarm.Morning.AddDays(DayOf(step)).AddSeconds((10 * step) - 9),
                sampledTo = SmallFarm.Morning.AddDays(DayOf(step)).AddSeconds((10 * step) + 1),
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
