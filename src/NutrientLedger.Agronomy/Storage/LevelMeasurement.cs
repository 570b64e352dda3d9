using NutrientLedger.Agronomy.Storage.Shapes;

namespace NutrientLedger.Agronomy.Storage;

/// <summary>
/// Levels measured by hand from the bank, and the volume error of an uncertain level. Nobody enters a storage to
/// measure it.
/// </summary>
public static class LevelMeasurement
{
    /// <summary>
    /// Liquid depth in m of a storage filled to its freeboard, by a tape along the sloped wall. It is
    /// (wall length − freeboard length) × cos(90° − slope angle). The angle in degrees is between wall and floor level,
    /// above 0 and at most 90. Source: Alberta Agriculture and Food, Nutrient Management Planning Guide (Agdex
    /// 400/28-3), p. 133–134.
    /// </summary>
    /// <exception cref="ArgumentOutOfRangeException">The slope is not above 0 and at most 90.</exception>
    public static double DepthMetres(double wallMetres, double freeboardMetres, double slopeDegrees) =>
        slopeDegrees is > 0 and <= 90
            ? (wallMetres - freeboardMetres) * Math.Cos((90 - slopeDegrees) * Math.PI / 180)
            : throw new ArgumentOutOfRangeException(
                nameof(slopeDegrees),
                slopeDegrees,
                "Give the wall's slope in degrees, above 0 and at most 90."
            );

    /// <summary>
    /// Standard deviation in m³ of a volume read from a level, given the level's standard deviation in mm. It is
    /// surface × that, because the surface is the derivative of volume by depth. First order; good while the surface
    /// hardly changes over the error.
    /// </summary>
    public static double VolumeDeviationCubicMetres(
        PitShape shape,
        int levelMillimetres,
        double levelDeviationMillimetres
    ) => shape.SurfaceSquareMetres(levelMillimetres) * levelDeviationMillimetres / 1000;
}
