using NutrientLedger.Agronomy.Storage.Shapes;

namespace NutrientLedger.Agronomy.Storage;

/// <summary>
/// The room that is kept free in a storage: freeboard under the rim and, below it, the design storm (in the United States
/// the rain of the 25-year, 24-hour storm at the place) with the run-off that it sends in from yards and roofs. All three are
/// the farm's own figures; permit and local code prevail.
/// </summary>
public sealed record StorageAllowance(
    int FreeboardMillimetres,
    double StormRainMillimetres,
    double StormRunoffCubicMetres
)
{
    /// <summary>Nothing kept free.</summary>
    public static StorageAllowance None { get; } = new(0, 0, 0);

    /// <summary>What the design storm brings: rain within the rim and run-off.</summary>
    public double StormCubicMetres(PitShape shape) =>
        StormRainMillimetres / 1000 * shape.RainCatchSquareMetres() + StormRunoffCubicMetres;

    /// <summary>What may be in the storage so that the design storm still ends under the freeboard; 0 when there is never room for it.</summary>
    public double UsableCubicMetres(PitShape shape) =>
        Math.Max(0, shape.VolumeCubicMetres(shape.DepthMillimetres - FreeboardMillimetres) - StormCubicMetres(shape));

    /// <summary>The highest level at which the design storm still fits: where a depth marker says "pump".</summary>
    public int PumpOutLevelMillimetres(PitShape shape) => shape.LevelMillimetresHolding(UsableCubicMetres(shape));
}
