namespace NutrientLedger.Agronomy.Storage;

/// <summary>
/// One measured value of a pit and a period, as it enters the balances, with its standard deviation and the origin of
/// that deviation. Both are in m³.
/// </summary>
public sealed record PitMeasuredValue(string Name, double Measured, double Deviation, string KnownFrom)
{
    /// <summary>A loss enters as a measurement too, with value 0.</summary>
    public const string Loss = "a loss between pit and meter";

    // A loss is assumed to be almost zero. Its deviation of half a cubic metre lets it be tested, but explains nothing
    // by itself.
    private const double LossDeviationCubicMetres = 0.5;

    /// <summary>The name of a stock's mean level among the measurements.</summary>
    public static string MeanLevelOf(MeasuredStock stock) => $"the mean level of {stock.Measurement}";

    /// <summary>All measured values, whether or not a balance can check them.</summary>
    public static IEnumerable<PitMeasuredValue> Of(PitBalanceInput input)
    {
        if (input.Stock is { } stock)
            yield return DrawnDown(stock);
        foreach (var measured in input.Inflow.Concat(input.Outflow).Concat(input.Draws.Select(it => it.Metered)))
            yield return Of(measured);
        if (input is { Stock: not null, Draws.Length: > 0 })
            yield return new(Loss, 0, LossDeviationCubicMetres, "assumed zero");
        if (input is { Sensor: { } sensor, Tape: { } tape })
        {
            yield return DrawnDown(tape);
            // The mean of two readings is independent of their difference. An offset that lasts all day shows only
            // here.
            yield return MeanLevel(sensor);
            yield return MeanLevel(tape);
        }
        foreach (var byRate in input.Draws.Select(draw => draw.ByRate).OfType<MeasuredVolume>())
            yield return Of(byRate);
    }

    private static PitMeasuredValue Of(MeasuredVolume measured) =>
        new(
            measured.Measurement,
            CubicMetres(measured.Millilitres),
            CubicMetres(measured.DeviationMillilitres),
            measured.KnownFrom
        );

    private static PitMeasuredValue DrawnDown(MeasuredStock stock) =>
        new(
            stock.Measurement,
            CubicMetres(stock.DrawnDownMillilitres),
            CubicMetres(stock.DeviationMillilitres),
            stock.KnownFrom
        );

    private static PitMeasuredValue MeanLevel(MeasuredStock stock) =>
        new(
            MeanLevelOf(stock),
            CubicMetres(stock.StartMillilitres + stock.EndMillilitres) / 2,
            CubicMetres(stock.DeviationMillilitres) / 2,
            stock.KnownFrom
        );

    private static double CubicMetres(long millilitres) => millilitres / 1e6;
}
