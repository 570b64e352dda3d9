using NutrientLedger.Agronomy.Storage.Shapes;

namespace NutrientLedger.Agronomy.Storage;

/// <summary>
/// The room kept free in a storage: freeboard under the rim and, below it, the design storm with its run-off from yards
/// and roofs. In the United States the design storm is the rain of the 25-year, 24-hour storm at the place. All three
/// are the farm's own values; permit and local code prevail.
/// </summary>
public sealed record StorageAllowance(
    int FreeboardMillimetres,
    double StormRainMillimetres,
    double StormRunoffCubicMetres
)
{
    /// <summary>No room kept free.</summary>
    public static StorageAllowance None { get; } = new(0, 0, 0);

    /// <summary>The volume of the design storm in m³: rain within the rim and run-off.</summary>
    public double StormCubicMetres(PitShape shape) =>
        StormRainMillimetres / 1000 * shape.RainCatchSquareMetres() + StormRunoffCubicMetres;

    /// <summary>
    /// The most that the storage may hold, in m³, so that the design storm ends under the freeboard. 0 when it never
    /// fits.
    /// </summary>
    public double UsableCubicMetres(PitShape shape) =>
        Math.Max(0, shape.VolumeCubicMetres(shape.DepthMillimetres - FreeboardMillimetres) - StormCubicMetres(shape));

    /// <summary>The highest level in mm at which the design storm fits: the pump-out mark of a depth marker.</summary>
    public int PumpOutLevelMillimetres(PitShape shape) => shape.LevelMillimetresHolding(UsableCubicMetres(shape));
}
