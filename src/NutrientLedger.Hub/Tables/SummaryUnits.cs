namespace NutrientLedger.Hub.Tables;

/// <summary>
/// Units of a printed summary: how much of each makes one SI unit. International foot and pound, US liquid gallon.
/// </summary>
internal sealed record SummaryUnits(
    string Area,
    double AreaPerSquareMetre,
    string Volume,
    double VolumePerCubicMetre,
    string Mass,
    double MassPerKilogram
)
{
    /// <summary>
    /// Acres (43560 × 0.3048² m²), US gallons (231 × 0.0254³ m³) and pounds (0.45359237 kg), all exact by definition.
    /// </summary>
    public static SummaryUnits UsCustomary { get; } =
        new("ac", 1 / 4046.8564224, "US gal", 1 / 0.003785411784, "lb", 1 / 0.45359237);

    public static SummaryUnits Metric { get; } = new("ha", 1e-4, "m³", 1, "kg", 1);
}
