using NutrientLedger.Agronomy.Storage.Shapes;

namespace NutrientLedger.Agronomy.Storage;

/// <summary>
/// What enters a storage on a mean day: manure and wash water in m³, rain and evaporation as depths in mm.
/// </summary>
public readonly record struct DailyInflow(
    double ManureCubicMetres,
    double RainMillimetres = 0,
    double EvaporationMillimetres = 0
);

/// <summary>How much a storage can take before it reaches the room kept free, in m³ and in days.</summary>
public static class StorageRoom
{
    /// <summary>Ten years; nobody plans further by a mean day.</summary>
    public const int LongestDays = 3_650;

    /// <summary>Room in m³; below zero when the liquid already stands in the room that should be free.</summary>
    public static double CubicMetres(PitShape shape, int levelMillimetres, StorageAllowance allowance) =>
        allowance.UsableCubicMetres(shape) - shape.VolumeCubicMetres(levelMillimetres);

    /// <summary>
    /// Days until the room is used up when every day brings the same. 0 when it is used up already, null beyond
    /// <see cref="LongestDays"/>. Rain counts on all ground within the rim, evaporation on the liquid's surface of the
    /// day. Source of the sum of inflows and net rain: USDA Agricultural Waste Management Field Handbook, chapter 10,
    /// worksheet 10A-2.
    /// </summary>
    public static double? Days(PitShape shape, int levelMillimetres, StorageAllowance allowance, DailyInflow inflow)
    {
        var volume = shape.VolumeCubicMetres(levelMillimetres);
        var usable = allowance.UsableCubicMetres(shape);
        if (volume >= usable)
            return 0;
        for (var day = 0; day < LongestDays; day++)
        {
            var change = ChangeCubicMetres(shape, volume, inflow);
            if (volume + change >= usable)
                return day + (usable - volume) / change;
            volume = Math.Max(0, volume + change);
        }
        return null;
    }

    private static double ChangeCubicMetres(PitShape shape, double volume, DailyInflow inflow) =>
        inflow.ManureCubicMetres
        + inflow.RainMillimetres / 1000 * shape.RainCatchSquareMetres()
        - inflow.EvaporationMillimetres / 1000 * shape.OpenSurfaceSquareMetres(shape.LevelMillimetresHolding(volume));
}
