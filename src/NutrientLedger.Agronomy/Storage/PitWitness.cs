namespace NutrientLedger.Agronomy.Storage;

/// <summary>
/// One thing that was told of a pit and a period, as it enters the balances: what it told and one standard deviation, both in m³, and
/// where that deviation is known from.
/// </summary>
public sealed record PitWitness(string Name, double Told, double Deviation, string KnownFrom)
{
    /// <summary>A loss is a witness too: told as nothing.</summary>
    public const string Loss = "a loss between pit and meter";

    // A loss is known to be nothing, almost: it enters with half a cubic metre, so that it can be tested but explains nothing itself.
    private const double LossDeviationCubicMetres = 0.5;

    /// <summary>How a stock's mean level is called among the witnesses.</summary>
    public static string StandingLevelOf(ToldStock stock) => $"the standing level of {stock.Witness}";

    /// <summary>All that a story tells, whether or not a balance can check it.</summary>
    public static IEnumerable<PitWitness> Of(PitStory story)
    {
        if (story.Stock is { } stock)
            yield return DrawnDown(stock);
        foreach (var told in story.Inflow.Concat(story.Outflow).Concat(story.Drawings.Select(it => it.Metered)))
            yield return Of(told);
        if (story is { Stock: not null, Drawings.Length: > 0 })
            yield return new(Loss, 0, LossDeviationCubicMetres, "held to be nothing until it is found");
        if (story is { Sensor: { } sensor, Tape: { } tape })
        {
            yield return DrawnDown(tape);
            // The mean of two readings is independent of their difference; an offset that stands all day shows only here.
            yield return Standing(sensor);
            yield return Standing(tape);
        }
        foreach (var byRate in story.Drawings.Select(drawing => drawing.ByRate).OfType<ToldVolume>())
            yield return Of(byRate);
    }

    private static PitWitness Of(ToldVolume told) =>
        new(told.Witness, CubicMetres(told.Millilitres), CubicMetres(told.DeviationMillilitres), told.KnownFrom);

    private static PitWitness DrawnDown(ToldStock stock) =>
        new(
            stock.Witness,
            CubicMetres(stock.DrawnDownMillilitres),
            CubicMetres(stock.DeviationMillilitres),
            stock.KnownFrom
        );

    private static PitWitness Standing(ToldStock stock) =>
        new(
            StandingLevelOf(stock),
            CubicMetres(stock.StartMillilitres + stock.EndMillilitres) / 2,
            CubicMetres(stock.DeviationMillilitres) / 2,
            stock.KnownFrom
        );

    private static double CubicMetres(long millilitres) => millilitres / 1e6;
}
