namespace NutrientLedger.Journal.Storage;

/// <summary>
/// Liquid depth over a pit's floor in mm. Where measured, also the liquid's temperature in thousandths of a degree
/// Celsius.
/// </summary>
public readonly record struct LevelReading(
    long MeasuredAtMilliseconds,
    int? LevelMillimetres = null,
    int? TemperatureMillidegreesCelsius = null
) : IReading<LevelReading>
{
    public static TelemetryStream Stream => TelemetryStream.Store;

    public static int ColumnCount => 3;

    public static LevelReading FromColumns(ReadOnlySpan<long?> columns) =>
        new(columns[0]!.Value, checked((int?)columns[1]), checked((int?)columns[2]));

    public long? Column(int column) =>
        column switch
        {
            0 => MeasuredAtMilliseconds,
            1 => LevelMillimetres,
            2 => TemperatureMillidegreesCelsius,
            _ => throw new ArgumentOutOfRangeException(nameof(column)),
        };
}
