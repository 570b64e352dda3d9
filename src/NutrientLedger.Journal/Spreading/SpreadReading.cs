namespace NutrientLedger.Journal.Spreading;

/// <summary>
/// What an applicator reported at one moment, in whole numbers. Position is in 1e-7 degree, speed in mm/s, working
/// width in mm. Flow is in mL/s, the meter's running total in mL. Dry matter is in parts per million of fresh mass.
/// Nutrients (elemental) are in mg/L.
/// </summary>
public readonly record struct SpreadReading(
    long MeasuredAtMilliseconds,
    int? LatitudeE7 = null,
    int? LongitudeE7 = null,
    int? SpeedMillimetresPerSecond = null,
    int? WidthMillimetres = null,
    bool? Engaged = null,
    int? FlowMillilitresPerSecond = null,
    long? TotalMillilitres = null,
    int? DryMatterPartsPerMillion = null,
    int? TotalNitrogenMilligramsPerLitre = null,
    int? AmmoniumNitrogenMilligramsPerLitre = null,
    int? PhosphorusMilligramsPerLitre = null,
    int? PotassiumMilligramsPerLitre = null
) : IReading<SpreadReading>
{
    public static TelemetryStream Stream => TelemetryStream.Spread;

    public static int ColumnCount => 13;

    public static SpreadReading FromColumns(ReadOnlySpan<long?> columns) =>
        new(
            columns[0]!.Value,
            checked((int?)columns[1]),
            checked((int?)columns[2]),
            checked((int?)columns[3]),
            checked((int?)columns[4]),
            columns[5] is { } engaged ? engaged != 0 : null,
            checked((int?)columns[6]),
            columns[7],
            checked((int?)columns[8]),
            checked((int?)columns[9]),
            checked((int?)columns[10]),
            checked((int?)columns[11]),
            checked((int?)columns[12])
        );

    public long? Column(int column) =>
        column switch
        {
            0 => MeasuredAtMilliseconds,
            1 => LatitudeE7,
            2 => LongitudeE7,
            3 => SpeedMillimetresPerSecond,
            4 => WidthMillimetres,
            5 => Engaged is { } engaged ? (engaged ? 1 : 0) : null,
            6 => FlowMillilitresPerSecond,
            7 => TotalMillilitres,
            8 => DryMatterPartsPerMillion,
            9 => TotalNitrogenMilligramsPerLitre,
            10 => AmmoniumNitrogenMilligramsPerLitre,
            11 => PhosphorusMilligramsPerLitre,
            12 => PotassiumMilligramsPerLitre,
            _ => throw new ArgumentOutOfRangeException(nameof(column)),
        };
}
