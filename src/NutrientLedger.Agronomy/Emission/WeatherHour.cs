namespace NutrientLedger.Agronomy.Emission;

/// <summary>
/// One hour of weather: air temperature in °C (−60 to 60), wind at 2 m in m/s (0 to 60), rain in mm (0 to 500). A
/// missing temperature or wind counts as the model's centre.
/// </summary>
public readonly record struct WeatherHour(
    double? AirTemperatureCelsius,
    double? WindMetresPerSecond,
    double RainMillimetres = 0
)
{
    internal void Check()
    {
        SpreadManure.InRange(AirTemperatureCelsius, 60, "air temperature in °C", -60);
        SpreadManure.InRange(WindMetresPerSecond, 60, "wind in m/s");
        SpreadManure.InRange(RainMillimetres, 500, "rain of an hour in mm");
    }
}
