using NutrientLedger.Agronomy.Units;

namespace NutrientLedger.Agronomy.Spreading;

/// <summary>
/// Rate, flow, speed and width of a spreading tool: rate = flow / (speed × width), L/ha = L/min × 600 / (km/h × m).
/// Source: Alberta Agriculture and Food, Nutrient Management Planning Guide, Agdex 400/28-3, p. 192;
/// 600 = 60 min/h × 10,000 m²/ha / 1,000 m/km. The width is the effective one, pass to pass, without overlap. Flow is
/// in m³/s, speed in m/s, width in m, all above 0.
/// </summary>
public static class SpreadingRate
{
    public static VolumeRate Of(double flowCubicMetresPerSecond, double speedMetresPerSecond, double widthMetres) =>
        new Volume(Above0(flowCubicMetresPerSecond, "flow"))
        / new Area(Above0(speedMetresPerSecond, "speed") * Above0(widthMetres, "width"));

    /// <summary>The speed in m/s at which a flow gives a rate.</summary>
    public static double SpeedMetresPerSecond(VolumeRate target, double flowCubicMetresPerSecond, double widthMetres) =>
        Above0(flowCubicMetresPerSecond, "flow") / (PerSquareMetre(target) * Above0(widthMetres, "width"));

    /// <summary>The flow in m³/s that gives a rate at a speed.</summary>
    public static double FlowCubicMetresPerSecond(VolumeRate target, double speedMetresPerSecond, double widthMetres) =>
        PerSquareMetre(target) * Above0(speedMetresPerSecond, "speed") * Above0(widthMetres, "width");

    /// <summary>The distance in m over which a load must be spread to give a rate.</summary>
    public static double DriveMetres(VolumeRate target, Volume load, double widthMetres) =>
        Above0(load.CubicMetres, "load") / (PerSquareMetre(target) * Above0(widthMetres, "width"));

    /// <summary>
    /// The rate at another speed when the flow does not follow the speed: calibrated rate × old speed / new speed.
    /// </summary>
    public static VolumeRate AtSpeed(
        VolumeRate calibrated,
        double calibratedMetresPerSecond,
        double newMetresPerSecond
    ) =>
        new(
            calibrated.CubicMetresPerHectare
                * Above0(calibratedMetresPerSecond, "speed")
                / Above0(newMetresPerSecond, "speed")
        );

    private static double PerSquareMetre(VolumeRate rate) =>
        Above0(rate.CubicMetresPerHectare, "rate") / Definitions.SquareMetresPerHectare;

    private static double Above0(double amount, string name) =>
        amount > 0 && double.IsFinite(amount)
            ? amount
            : throw new ArgumentOutOfRangeException(name, amount, $"The {name} must be above 0.");
}
