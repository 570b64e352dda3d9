using System.Globalization;
using NutrientLedger.Agronomy.Units;

namespace NutrientLedger.Web.Wording;

/// <summary>Display units and their rounding.</summary>
internal sealed record DisplayUnits(
    string Volume,
    double VolumePerCubicMetre,
    string VolumeFormat,
    string Mass,
    double MassPerKilogram
)
{
    private const string MassFormat = "N2";
    private const double GallonsOfAContent = 1000;

    public static readonly DisplayUnits UsCustomary = new(
        "US gal",
        1 / Definitions.CubicMetresPerUsGallon,
        "N0",
        "lb",
        1 / Definitions.KilogramsPerPound
    );

    public static readonly DisplayUnits Metric = new("m³", 1, "N2", "kg", 1);

    /// <summary>The named units: "us", "metric", US by default; null for an unknown name.</summary>
    public static DisplayUnits? Named(string? units) =>
        units switch
        {
            null or "us" => UsCustomary,
            "metric" => Metric,
            _ => null,
        };

    public string VolumeOf(decimal? cubicMetres) => Format(cubicMetres, VolumePerCubicMetre, VolumeFormat);

    public string MassOf(decimal? kilograms) => Format(kilograms, MassPerKilogram, MassFormat);

    public string VolumeOf(double? cubicMetres) => Format(cubicMetres, VolumePerCubicMetre, VolumeFormat);

    public string MassOf(double? kilograms) => Format(kilograms, MassPerKilogram, MassFormat);

    /// <summary>The unit of a content.</summary>
    public string Content => this == Metric ? "kg/m³" : "lb/1,000 US gal";

    /// <summary>Formats a content given in kg/m³.</summary>
    public string ContentOf(double? kilogramsPerCubicMetre) =>
        Format(
            kilogramsPerCubicMetre,
            this == Metric ? 1 : MassPerKilogram / VolumePerCubicMetre * GallonsOfAContent,
            MassFormat
        );

    public static string PercentOf(decimal? percent) => Format(percent, 1, "N2");

    private static string Format(decimal? amount, double perUnit, string format) =>
        Format((double?)amount, perUnit, format);

    private static string Format(double? amount, double perUnit, string format) =>
        amount is not { } known ? "not known" : (known * perUnit).ToString(format, CultureInfo.InvariantCulture);
}
