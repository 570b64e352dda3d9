using System.Globalization;
using NutrientLedger.Ledger.Meters;

namespace NutrientLedger.Web.Wording;

/// <summary>Says what of a meter is unknown or on no field.</summary>
public static class MeterWording
{
    /// <summary>Shown where an answer is as of an earlier journal position.</summary>
    public const string NotKnown =
        "What meters counted between readings is known only for now, not as of an earlier position.";

    /// <summary>A farm's intervals of unknown volume in a season, or none.</summary>
    public static IEnumerable<string> OfUnknown(long intervals) =>
        intervals == 0
            ? []
            :
            [
                $"Volume unknown: {Plural.Of(intervals, "interval")} of this season's meters (meter reset, or no total and no flow), on no field.",
            ];

    /// <summary>What is uncertain of a volume metered between readings. In m³ unless a format is given.</summary>
    public static IEnumerable<string> Of(MeteredBetween between, Func<double, string>? volume = null)
    {
        if (between.Unknown > 0)
            yield return $"Volume unknown: {Plural.Of(between.Unknown, "interruption")}.";
        if (between.EitherMillilitres > 0)
            yield return $"{(volume ?? CubicMetres)(between.EitherCubicMetres)} may belong to another season or pit; it counts where the interruption began.";
    }

    private static string CubicMetres(double volume) => string.Create(CultureInfo.InvariantCulture, $"{volume:N3} m³");
}
