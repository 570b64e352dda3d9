using System.Collections.Immutable;
using NutrientLedger.Agronomy.Units;
using NutrientLedger.Agronomy.Units.Chemistry;

namespace NutrientLedger.Agronomy.Spreading;

/// <summary>The rate at which one nutrient reaches its target.</summary>
public sealed record TargetRate(LimitedNutrient Nutrient, VolumeRate Rate);

/// <summary>
/// The rates at which manure of the present analysis reaches the plan's targets, the lowest first. Nutrients without a
/// target are left out. Nutrients of unknown content are named; until they are known, the first limit is not certain.
/// The rate informs; the plan, local code and a licensed planner decide.
/// </summary>
public sealed record TargetRates(ImmutableArray<TargetRate> Rates, ImmutableArray<LimitedNutrient> NotAnalysed)
{
    /// <summary>
    /// The nutrient that reaches its target first; null when no target with known content is ever reached.
    /// </summary>
    public TargetRate? First => Rates.FirstOrDefault();

    public bool IsCertain => NotAnalysed.Length == 0;

    public static TargetRates Of(NutrientTargets targets, PresentAnalysis analysis)
    {
        var available = analysis is { TotalNitrogen: { } total, AvailableNitrogenShare: { } share }
            ? total * Share(share)
            : (Concentration<Nitrogen>?)null;
        (LimitedNutrient Nutrient, double? Target, double? Content)[] limits =
        [
            (LimitedNutrient.TotalNitrogen, Target(targets.TotalNitrogen), Content(analysis.TotalNitrogen)),
            (LimitedNutrient.AvailableNitrogen, Target(targets.AvailableNitrogen), Content(available)),
            (LimitedNutrient.P2O5, Target(targets.P2O5), Content(analysis.Phosphorus?.As<P2O5>())),
            (LimitedNutrient.K2O, Target(targets.K2O), Content(analysis.Potassium?.As<K2O>())),
        ];
        var set = limits.Where(limit => limit.Target is not null).ToArray();
        return new(
            [
                .. set.Where(limit => limit.Content > 0)
                    .Select(limit => new TargetRate(limit.Nutrient, new(limit.Target!.Value / limit.Content!.Value)))
                    .OrderBy(limit => limit.Rate.CubicMetresPerHectare),
            ],
            [.. set.Where(limit => limit.Content is null).Select(limit => limit.Nutrient)]
        );
    }

    private static double? Target<T>(NutrientRate<T>? target)
        where T : INutrient => NotNegative(target?.KilogramsPerHectare, "target");

    private static double? Content<T>(Concentration<T>? content)
        where T : INutrient => NotNegative(content?.KilogramsPerCubicMetre, "content");

    private static double? NotNegative(double? amount, string name) =>
        amount is null or >= 0
            ? amount
            : throw new ArgumentOutOfRangeException(name, amount, $"A nutrient {name} cannot be below 0.");

    private static double Share(double share) =>
        share is >= 0 and <= 1
            ? share
            : throw new ArgumentOutOfRangeException(
                nameof(share),
                share,
                "The available share must be between 0 and 1."
            );
}
