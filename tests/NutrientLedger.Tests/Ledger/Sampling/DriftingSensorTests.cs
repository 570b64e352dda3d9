using System.Text.Json;
using NutrientLedger.Journal.Sampling;
using NutrientLedger.Journal.Spreading;
using NutrientLedger.Ledger.Configuration;
using NutrientLedger.Ledger.Lines;

namespace NutrientLedger.Tests.Ledger.Sampling;

/// <summary>
/// The demo's sensor nir-1 reads nitrogen wrong in autumn. The reference is what the simulation truly spread. It uses
/// neither the laboratory's errors nor the statistics that find the calibration.
/// </summary>
public sealed class DriftingSensorTests
{
    private static readonly string[] Affected = ["home-flat 2026", "long-forty 2026", "mill-bend 2026"];

    private static readonly (
        Analyte Analyte,
        string PrintedAs,
        string InTruth,
        Func<SpreadReading, int?> Read,
        Func<SpreadAmounts, double> Kilograms
    )[] Checked =
    [
        (
            Analyte.TotalNitrogen,
            "totalNitrogen",
            "totalNitrogenKilograms",
            reading => reading.TotalNitrogenMilligramsPerLitre,
            spread => spread.TotalNitrogen.Kilograms
        ),
        (
            Analyte.AmmoniumNitrogen,
            "ammoniumNitrogen",
            "ammoniumNitrogenKilograms",
            reading => reading.AmmoniumNitrogenMilligramsPerLitre,
            spread => spread.AmmoniumNitrogen.Kilograms
        ),
    ];

    private readonly DemoSeason season = new();

    [Fact]
    public void Before_the_calibration_the_fields_of_the_drifting_sensor_lie_outside_and_as_far_as_the_truth_file_says()
    {
        Assert.Equal(Affected, Outside(FarmConfiguration.Empty, "expected"));
        Assert.Empty(Outside(FarmConfiguration.Empty, "expectedUncorrected"));
    }

    [Fact]
    public void After_the_calibration_that_the_laboratorys_pairs_give_every_field_lies_within_what_was_truly_spread()
    {
        var calibrated = Checked.Aggregate(
            FarmConfiguration.Empty,
            (configuration, it) => configuration.With(Calibration(it.Analyte, it.PrintedAs, it.Read))
        );

        Assert.Empty(Outside(calibrated, "expected"));
        Assert.Equal(Affected, Outside(calibrated, "expectedUncorrected"));
    }

    /// <summary>The bias that is left when each day counts alike: all days have four samples.</summary>
    private CalibrationAdopted Calibration(Analyte analyte, string printedAs, Func<SpreadReading, int?> read)
    {
        var pairs = season.Pairs(printedAs, read).ToArray();
        double[][] days =
        [
            .. pairs
                .GroupBy(pair => pair.ReportId[..^2], pair => pair.Laboratory - pair.Sensor)
                .Select(day => day.ToArray()),
        ];
        Assert.Equal([4, 4, 4], days.Select(day => day.Length));
        double[] means = [.. days.Select(day => day.Average())];
        var bias = means.Average();
        // t(2) at 5 %, two-sided, is 4.303 (any t table).
        var deviation = Math.Sqrt(means.Sum(mean => Math.Pow(mean - bias, 2)) / 2);
        Assert.True(bias > 4.303 * deviation / Math.Sqrt(3));
        return new(
            $"nir-1-{printedAs}",
            "nir-1",
            analyte,
            1_000_000,
            (long)Math.Round(bias * 1e3),
            new(2025, 10, 28, 5, 0, 0, TimeSpan.Zero),
            new(2026, 3, 30, 5, 0, 0, TimeSpan.Zero),
            null,
            [.. pairs.Select(it => it.ReportId)],
            "J. Larch",
            "The laboratory finds more nitrogen than the sensor."
        );
    }

    /// <summary>
    /// The fields and seasons whose nitrogen amount is further from a column of the truth file than allowed there.
    /// </summary>
    private IEnumerable<string> Outside(FarmConfiguration configuration, string column)
    {
        var lines = season.Lines();
        foreach (var row in season.Read("truth.json").GetProperty("fields").EnumerateArray())
        {
            var (field, year) = (row.GetProperty("field").GetString()!, row.GetProperty("season").GetInt32());
            if (field.Length == 0)
                continue;
            var spread = SpreadAmounts.Of(
                configuration,
                lines.Where(line => line.Key.FieldId == field && line.Key.Season == year)
            );
            if (Checked.Any(it => !IsWithin(row, column, it.InTruth, it.Kilograms(spread))))
                yield return $"{field} {year}";
        }
    }

    private static bool IsWithin(JsonElement row, string column, string amount, double kilograms)
    {
        var expected = row.TryGetProperty(column, out var stated) ? stated : row.GetProperty("expected");
        return Math.Abs(kilograms - expected.GetProperty(amount).GetDouble())
            <= row.GetProperty("allowedDifference").GetProperty(amount).GetDouble();
    }
}
