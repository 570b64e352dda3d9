namespace NutrientLedger.Journal.Weather;

/// <summary>
/// Air temperature is in thousandths of a degree Celsius, wind at 2 m in mm/s. The rain gauge's running total is in
/// micrometres. Relative humidity is in thousandths of a percent.
/// </summary>
public readonly record struct WeatherReading(
    long MeasuredAtMilliseconds,
    int? TemperatureMillidegreesCelsius = null,
    int? WindMillimetresPerSecond = null,
    long? RainTotalMicrometres = null,
    int? HumidityMillipercent = null
) : IReading<WeatherReading>
{
    public static TelemetryStream Stream => TelemetryStream.Weather;

    public static int ColumnCount => 5;

    public static WeatherReading FromColumns(ReadOnlySpan<long?> columns) =>
        new(
            columns[0]!.Value,
            checked((int?)columns[1]),
            checked((int?)columns[2]),
            columns[3],
            checked((int?)columns[4])
        );

    public long? Column(int column) =>
        column switch
        {
            0 => MeasuredAtMilliseconds,
            1 => TemperatureMillidegreesCelsius,
            2 => WindMillimetresPerSecond,
            3 => RainTotalMicrometres,
            4 => HumidityMillipercent,
            _ => throw new ArgumentOutOfRangeException(nameof(column)),
        };
}
