namespace NutrientLedger.Agronomy.Emission;

/// <summary>
/// The input of a term of the emission model. Yes-or-no predictors count 1 or 0. The others are numbers in the unit at
/// the end of their name.
/// </summary>
public enum EmissionPredictor
{
    Intercept = 1,
    Broadcast = 2,
    TrailingShoe = 3,
    OpenSlotInjection = 4,
    ClosedSlotInjection = 5,
    RateTonnesPerHectare = 6,

    /// <summary>The rate of manure that is not injected; 0 for injected manure.</summary>
    SurfaceRateTonnesPerHectare = 7,
    DryMatterPercent = 8,
    PigManure = 9,
    AirTemperatureCelsius = 10,

    /// <summary>Wind at 2 m.</summary>
    WindMetresPerSecond = 11,
    PH = 12,
    RainMillimetresPerHour = 13,

    /// <summary>All rain since spreading, the present hour included.</summary>
    RainMillimetresSoFar = 14,

    /// <summary>
    /// The height of the crop, for trailing shoes only. It is never given, because its unit is not known.
    /// </summary>
    ShoeTimesCropHeight = 15,
    DeepIncorporation = 16,
    ShallowIncorporation = 17,
}

/// <summary>
/// The parameters that terms add up to. f0 and f4 are shares (logistic); r1 to r3 are rates per hour (powers of ten).
/// </summary>
public enum EmissionParameter
{
    /// <summary>Share of the ammonium nitrogen that starts in the fast pool.</summary>
    F0 = 1,

    /// <summary>Emission from the fast pool.</summary>
    R1 = 2,

    /// <summary>Passage from the fast to the slow pool.</summary>
    R2 = 3,

    /// <summary>Emission from the slow pool.</summary>
    R3 = 4,

    /// <summary>Share of the fast pool that stays fast when manure is incorporated.</summary>
    F4 = 5,
}
