using System.Collections.Immutable;

namespace NutrientLedger.Agronomy.Storage;

/// <summary>A volume as one witness tells it, with one standard deviation and where that is known from; both in mL.</summary>
public sealed record ToldVolume(string Witness, long Millilitres, long DeviationMillilitres, string KnownFrom);

/// <summary>A stock at the beginning and end of a period by one witness; the deviation is that of the difference. In mL.</summary>
public sealed record ToldStock(
    string Witness,
    long StartMillilitres,
    long EndMillilitres,
    long DeviationMillilitres,
    string KnownFrom
)
{
    public long DrawnDownMillilitres => StartMillilitres - EndMillilitres;
}

/// <summary>What an applicator drew: by its meter, and by covered area × set rate where the rate is known without the meter.</summary>
public sealed record ToldDrawing(ToldVolume Metered, ToldVolume? ByRate);

/// <summary>
/// All that was told about one pit in one period. Inflow is what came in (rain, manure, water, transfers), outflow what went out
/// without a meter (loads, transfers, evaporation).
/// </summary>
public sealed record PitStory(
    ToldStock? Sensor,
    ToldStock? Tape,
    ImmutableArray<ToldVolume> Inflow,
    ImmutableArray<ToldVolume> Outflow,
    ImmutableArray<ToldDrawing> Drawings
)
{
    /// <summary>The stock that the sum is made with: the sensor's, else the tape's.</summary>
    public ToldStock? Stock => Sensor ?? Tape;

    /// <summary>start + in − out − end, to the millilitre; nothing without a stock.</summary>
    public long? UnexplainedMillilitres =>
        Stock is null
            ? null
            : Stock.DrawnDownMillilitres
                + Inflow.Sum(told => told.Millilitres)
                - Outflow.Sum(told => told.Millilitres)
                - Drawings.Sum(drawing => drawing.Metered.Millilitres);
}
