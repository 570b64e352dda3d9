using System.Text.Json;
using NutrientLedger.Agronomy.Sampling;
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
    private const double Confidence = 0.95;

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

    /// <summary>
    /// Slope and intercept where the slope is significant (ISO 12099, as in <see cref="LaboratoryComparison"/>), else
    /// the bias alone.
    /// </summary>
    private CalibrationAdopted Calibration(Analyte analyte, string printedAs, Func<SpreadReading, int?> read)
    {
        var pairs = season.Pairs(printedAs, read).ToArray();
        var comparison = LaboratoryComparison.Of([.. pairs.Select(it => new LaboratoryPair(it.Laboratory, it.Sensor))]);
        Assert.Equal(12, comparison.Count);
        Assert.True(comparison.BiasIsSignificant(Confidence));
        var (slope, intercept) = comparison.SlopeIsSignificant(Confidence)
            ? (comparison.Slope, comparison.Intercept)
            : (1, comparison.Bias);
        return new(
            $"nir-1-{printedAs}",
            "nir-1",
            analyte,
            (long)Math.Round(slope * 1e6),
            (long)Math.Round(intercept * 1e3),
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
