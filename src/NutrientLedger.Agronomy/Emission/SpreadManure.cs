using NutrientLedger.Agronomy.Factors.Conditions;

namespace NutrientLedger.Agronomy.Emission;

/// <summary>How deep manure is incorporated.</summary>
public enum IncorporationDepth
{
    /// <summary>By harrow or disk, which mix manure and topsoil.</summary>
    Shallow = 1,

    /// <summary>By plough, which turns manure under.</summary>
    Deep = 2,
}

/// <summary>When, in hours after spreading, and how deep manure was incorporated.</summary>
public readonly record struct Incorporation(double AfterHours, IncorporationDepth Depth);

/// <summary>
/// Liquid manure as it was spread: ammonium nitrogen in kg/ha (0 or more), dry matter in percent of fresh mass (0 to
/// 100), pH (0 to 14), rate in t/ha (0 or more). A missing value counts as the model's centre.
/// </summary>
public sealed record SpreadManure(
    double AmmoniumNitrogenKilogramsPerHectare,
    ApplicationMethod Method,
    double? DryMatterPercent = null,
    double? PH = null,
    bool FromPigs = false,
    double? RateTonnesPerHectare = null,
    Incorporation? Incorporation = null
)
{
    /// <exception cref="ArgumentOutOfRangeException">A value is outside its range.</exception>
    internal void Check()
    {
        InRange(AmmoniumNitrogenKilogramsPerHectare, double.MaxValue, "ammonium nitrogen in kg/ha");
        InRange(DryMatterPercent, 100, "dry matter in percent");
        InRange(PH, 14, "pH");
        InRange(RateTonnesPerHectare, double.MaxValue, "rate in t/ha");
        InRange(Incorporation?.AfterHours, double.MaxValue, "hours until incorporation");
    }

    internal static void InRange(double? value, double max, string name, double min = 0)
    {
        if (value is not null && !(value >= min && value <= max))
            throw new ArgumentOutOfRangeException(name, value, $"The {name} must be at least {min} and at most {max}.");
    }

    internal double? Predictor(EmissionPredictor predictor) =>
        predictor switch
        {
            EmissionPredictor.Intercept => 1,
            EmissionPredictor.Broadcast => YesIf(ApplicationMethod.Broadcast),
            EmissionPredictor.TrailingShoe => YesIf(ApplicationMethod.TrailingShoe),
            EmissionPredictor.OpenSlotInjection => YesIf(ApplicationMethod.OpenSlotInjection),
            EmissionPredictor.ClosedSlotInjection => YesIf(ApplicationMethod.ClosedSlotInjection),
            EmissionPredictor.RateTonnesPerHectare => RateTonnesPerHectare,
            EmissionPredictor.SurfaceRateTonnesPerHectare => IsInjected ? 0 : RateTonnesPerHectare,
            EmissionPredictor.DryMatterPercent => DryMatterPercent,
            EmissionPredictor.PigManure => FromPigs ? 1 : 0,
            EmissionPredictor.PH => PH,
            _ => null,
        };

    private bool IsInjected =>
        Method is not (ApplicationMethod.Broadcast or ApplicationMethod.TrailingHose or ApplicationMethod.TrailingShoe);

    private double YesIf(ApplicationMethod method) => Method == method ? 1 : 0;
}
