using System.Collections.Immutable;

namespace NutrientLedger.Agronomy.Storage;

/// <summary>
/// One measurement of a volume with its standard deviation and the origin of that deviation. Both are in mL. One that
/// shares a meter with a draw is no suspect of its own: a gross error of the meter is looked for in the draw.
/// </summary>
public sealed record MeasuredVolume(
    string Measurement,
    long Millilitres,
    long DeviationMillilitres,
    string KnownFrom,
    bool SharesAMeter = false
);

/// <summary>
/// One measurement of a stock at the beginning and end of a period, in mL. The deviation is that of the difference.
/// </summary>
public sealed record MeasuredStock(
    string Measurement,
    long StartMillilitres,
    long EndMillilitres,
    long DeviationMillilitres,
    string KnownFrom
)
{
    public long DrawnDownMillilitres => StartMillilitres - EndMillilitres;
}

/// <summary>
/// What an applicator drew: by its meter, and by covered area × set rate where the rate is known without the meter.
/// </summary>
public sealed record MeasuredDraw(MeasuredVolume Metered, MeasuredVolume? ByRate);

/// <summary>
/// All measurements of one pit in one period. Inflow is what came in (rain, manure, water, transfers). Outflow is what
/// went out without a meter (loads, transfers, evaporation).
/// </summary>
public sealed record PitBalanceInput(
    MeasuredStock? Sensor,
    MeasuredStock? Tape,
    ImmutableArray<MeasuredVolume> Inflow,
    ImmutableArray<MeasuredVolume> Outflow,
    ImmutableArray<MeasuredDraw> Draws
)
{
    /// <summary>The stock used in the sum: the sensor's, otherwise the tape's.</summary>
    public MeasuredStock? Stock => Sensor ?? Tape;

    /// <summary>start + in − out − end, to the millilitre; null without a stock.</summary>
    public long? UnexplainedMillilitres =>
        Stock is null ? null : Stock.DrawnDownMillilitres + InflowMillilitres - OutflowMillilitres - DrawnMillilitres;

    /// <summary>All that came in, in mL.</summary>
    public long InflowMillilitres => Inflow.Sum(measured => measured.Millilitres);

    /// <summary>All that went out without a meter, in mL.</summary>
    public long OutflowMillilitres => Outflow.Sum(measured => measured.Millilitres);

    /// <summary>All that applicators drew by their meters, in mL.</summary>
    public long DrawnMillilitres => Draws.Sum(draw => draw.Metered.Millilitres);
}
