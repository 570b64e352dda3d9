using NutrientLedger.Agronomy.Written;
using NutrientLedger.Journal.Sampling;
using NutrientLedger.Ledger;
using NutrientLedger.Office.Asking;
using NutrientLedger.Office.Import.Written;

namespace NutrientLedger.Office.Import;

/// <summary>
/// Reads from when on calibrations are adopted without a person. Fewer pairs than show a slope, or an error beyond any content, are not
/// left to a rule (common practice, no source).
/// </summary>
internal sealed class RuleSection(IReadOnlySet<string> sensors)
{
    private const int PairsMost = 1000;
    private const decimal GramsPerLitreMost = 10;
    private const decimal PercentMost = 10;

    private readonly HashSet<(string, Analyte)> seen = [];

    public AdoptionRuleSet Read(WrittenObject rule)
    {
        var sensor = rule.KnownId("sensor", "sensor", sensors);
        var analyte = rule.Choice(
            "analyte",
            [.. Enum.GetValues<Analyte>().Select(known => (CalibrationBook.Word(known), known))]
        );
        var isOn = rule.Choice("state", ("on", true), ("off", false));
        var pairs = rule.Whole("pairsAtLeast", SensorCheck.SlopeLeast, PairsMost);
        const string error = "standardErrorAtMost";
        // In the units in which limits are written, kept in the unit of the reading.
        var most =
            rule.Required(error) is null ? null
            : analyte == Analyte.DryMatter ? rule.OptionalScaled(error, 10_000, 0, PercentMost, "% of fresh mass")
            : rule.OptionalScaled(error, 1000, 0, GramsPerLitreMost, "g/L");
        rule.NothingElse();
        if (!seen.Add((sensor, analyte)))
            rule.Problem("", "this sensor has two rules for the same analyte; keep one.");
        return new(sensor, analyte, isOn, pairs, most ?? 0);
    }
}
