using NutrientLedger.Agronomy.Units;

namespace NutrientLedger.Agronomy.Spreading;

/// <summary>
/// A full hose or pipe between pump and tool. The diameter is the inside one, not the nominal one. A lay-flat hose
/// swells under pressure and then holds more. No published value was found, so measure it full.
/// </summary>
public sealed record Hose(double InsideDiameterMetres, double LengthMetres)
{
    /// <summary>π·d²/4 × length; in US gallons per foot 0.0408·d² with d in inches (published as such).</summary>
    public Volume Volume => new(Math.PI * InsideDiameterMetres * InsideDiameterMetres / 4 * LengthMetres);

    /// <summary>Volume in mL, rounded to the nearest whole one, as meters count.</summary>
    public long Millilitres => (long)Math.Round(Volume.CubicMetres * 1e6, MidpointRounding.AwayFromZero);

    /// <summary>The delay in seconds from pump to tool, at a steady flow in m³/s above 0.</summary>
    /// <exception cref="ArgumentOutOfRangeException">The flow is not above 0.</exception>
    public double LagSeconds(double flowCubicMetresPerSecond) =>
        flowCubicMetresPerSecond > 0
            ? Volume.CubicMetres / flowCubicMetresPerSecond
            : throw new ArgumentOutOfRangeException(
                nameof(flowCubicMetresPerSecond),
                flowCubicMetresPerSecond,
                "Without flow nothing reaches the tool; give a flow above 0."
            );
}
