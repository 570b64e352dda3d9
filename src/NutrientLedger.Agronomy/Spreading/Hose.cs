using NutrientLedger.Agronomy.Units;

namespace NutrientLedger.Agronomy.Spreading;

/// <summary>
/// A full hose or pipe between pump and tool. The diameter is the inside one, not the nominal one; a lay-flat hose swells under
/// pressure and then holds more (no published figure was found, so measure it full).
/// </summary>
public sealed record Hose(double InsideDiameterMetres, double LengthMetres)
{
    /// <summary>π·d²/4 × length; in US gallons per foot 0.0408·d² with d in inches (published as such).</summary>
    public Volume Volume => new(Math.PI * InsideDiameterMetres * InsideDiameterMetres / 4 * LengthMetres);

    /// <summary>Volume in the whole mL in which meters count, the nearest one.</summary>
    public long Millilitres => (long)Math.Round(Volume.CubicMetres * 1e6, MidpointRounding.AwayFromZero);

    /// <summary>How long after the pump the same liquid leaves the tool, at a steady flow in m³/s above 0.</summary>
    public double LagSeconds(double flowCubicMetresPerSecond) =>
        flowCubicMetresPerSecond > 0
            ? Volume.CubicMetres / flowCubicMetresPerSecond
            : throw new ArgumentOutOfRangeException(
                nameof(flowCubicMetresPerSecond),
                flowCubicMetresPerSecond,
                "Nothing arrives without flow; give a flow above 0."
            );
}
