using NutrientLedger.Journal.Sampling;
using NutrientLedger.Json;
using NutrientLedger.Ledger.Sampling;
using NutrientLedger.Web.Queries.Sampling;

namespace NutrientLedger.Web.Import.Farms;

/// <summary>
/// Reads the rules by which calibrations are adopted without a person. They need enough pairs for a slope, and a
/// standard error up to 10 g/L or 10 % (common practice, no source).
/// </summary>
internal sealed class RuleSection(IReadOnlySet<string> sensors)
{
    private const int PairsMax = 1000;
    private const decimal GramsPerLitreMax = 10;
    private const decimal PercentMax = 10;

    private readonly HashSet<(string, Analyte)> keys = [];

    public AdoptionRuleSet Read(JsonObjectReader rule)
    {
        var sensor = rule.KnownId("sensor", "sensor", sensors);
        var analyte = rule.Choice(
            "analyte",
            [.. Enum.GetValues<Analyte>().Select(known => (CalibrationMapping.Word(known), known))]
        );
        var isOn = rule.Choice("state", ("on", true), ("off", false));
        var pairs = rule.Whole("pairsMin", SensorCheck.SlopePairsMin, PairsMax);
        const string error = "standardErrorMax";
        // Given in the unit of limits, stored in the unit of the reading.
        var max =
            rule.Required(error) is null ? null
            : analyte == Analyte.DryMatter ? rule.OptionalScaled(error, 10_000, 0, PercentMax, "% of fresh mass")
            : rule.OptionalScaled(error, 1000, 0, GramsPerLitreMax, "g/L");
        rule.RejectUnknownMembers();
        if (!keys.Add((sensor, analyte)))
            rule.AddProblem("", "this sensor has two rules for the same analyte; keep one.");
        return new(sensor, analyte, isOn, pairs, max ?? 0);
    }
}
