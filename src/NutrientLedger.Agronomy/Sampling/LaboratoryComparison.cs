using NutrientLedger.Agronomy.Statistics;

namespace NutrientLedger.Agronomy.Sampling;

/// <summary>One sample measured by the laboratory and by the sensor, in one unit.</summary>
public readonly record struct LaboratoryPair(double Laboratory, double Sensor);

/// <summary>
/// Agreement of a sensor with the laboratory over an independent set of samples, by the statistics of ISO 12099
/// (clauses 7.3 bias, 7.4 RMSEP, 7.5 SEP, 7.6 slope). The clause titles were read; the formulas are from memory. Check
/// them against the standard before they decide anything. Pairs are taken as independent: where several are of one day,
/// use <see cref="ClusteredMean"/> and <see cref="DemingFit"/>. Errors are laboratory minus sensor; values have the
/// unit of the pairs.
/// </summary>
public sealed record LaboratoryComparison
{
    private LaboratoryComparison(IReadOnlyCollection<LaboratoryPair> pairs)
    {
        Count = pairs.Count;
        var (laboratoryMean, sensorMean) = (pairs.Average(p => p.Laboratory), pairs.Average(p => p.Sensor));
        var laboratorySquares = pairs.Sum(p => Square(p.Laboratory - laboratoryMean));
        SensorMean = sensorMean;
        SensorSquares = pairs.Sum(p => Square(p.Sensor - sensorMean));
        var products = pairs.Sum(p => (p.Laboratory - laboratoryMean) * (p.Sensor - sensorMean));

        Bias = laboratoryMean - sensorMean;
        StandardErrorOfPrediction = Math.Sqrt(pairs.Sum(p => Square(p.Laboratory - p.Sensor - Bias)) / (Count - 1));
        RootMeanSquareError = Math.Sqrt(pairs.Sum(p => Square(p.Laboratory - p.Sensor)) / Count);
        Slope = products / SensorSquares;
        Intercept = laboratoryMean - Slope * sensorMean;
        ResidualDeviation = Math.Sqrt(
            pairs.Sum(p => Square(p.Laboratory - Intercept - Slope * p.Sensor)) / (Count - 2)
        );
        LaboratoryDeviation = Math.Sqrt(laboratorySquares / (Count - 1));
        Determination = products * products / (SensorSquares * laboratorySquares);
    }

    /// <summary>Three: two pairs always lie on a line, and only a third can test it.</summary>
    public const int PairsMin = 3;

    /// <exception cref="ArgumentException">
    /// Fewer than three pairs, no spread in either column, or a value that is not finite.
    /// </exception>
    public static LaboratoryComparison Of(IReadOnlyCollection<LaboratoryPair> pairs)
    {
        if (pairs.Count < PairsMin)
            throw new ArgumentException("A comparison needs at least three samples; add laboratory results.");
        if (!pairs.All(pair => double.IsFinite(pair.Laboratory) && double.IsFinite(pair.Sensor)))
            throw new ArgumentException("A compared value is not a finite number; leave its sample out.");
        if (
            pairs.Select(p => p.Sensor).Distinct().Count() < 2
            || pairs.Select(p => p.Laboratory).Distinct().Count() < 2
        )
            throw new ArgumentException("All samples have the same value; add samples that differ.");
        return new(pairs);
    }

    public int Count { get; }

    /// <summary>Mean of laboratory minus sensor.</summary>
    public double Bias { get; }

    /// <summary>SEP: standard deviation of the errors about the bias, divisor n − 1.</summary>
    public double StandardErrorOfPrediction { get; }

    /// <summary>RMSEP: root of the mean squared error, bias included, divisor n.</summary>
    public double RootMeanSquareError { get; }

    /// <summary>Slope of laboratory on sensor.</summary>
    public double Slope { get; }

    /// <summary>Intercept of laboratory on sensor.</summary>
    public double Intercept { get; }

    /// <summary>Residual standard deviation about that line, divisor n − 2.</summary>
    public double ResidualDeviation { get; }

    /// <summary>Standard deviation of the laboratory values, divisor n − 1.</summary>
    public double LaboratoryDeviation { get; }

    /// <summary>R², the squared correlation.</summary>
    public double Determination { get; }

    /// <summary>RPD: standard deviation of the laboratory values over SEP; infinite when no error is left.</summary>
    public double PerformanceToDeviation => LaboratoryDeviation / StandardErrorOfPrediction;

    /// <summary>The largest bias that chance explains: t(n − 1)·SEP/√n.</summary>
    public double BiasLimit(double confidence) =>
        Quantiles.TwoSidedT(confidence, Count - 1) * StandardErrorOfPrediction / Math.Sqrt(Count);

    /// <summary>SEP/√n.</summary>
    public double BiasStandardError => StandardErrorOfPrediction / Math.Sqrt(Count);

    /// <summary>Least squares: s(residual)/√Σ(sensor − mean)².</summary>
    public double SlopeStandardError => ResidualDeviation / Math.Sqrt(SensorSquares);

    /// <summary>Least squares: s(residual)·√(1/n + mean²/Σ(sensor − mean)²).</summary>
    public double InterceptStandardError =>
        ResidualDeviation * Math.Sqrt(1.0 / Count + Square(SensorMean) / SensorSquares);

    public bool BiasIsSignificant(double confidence) => Math.Abs(Bias) > BiasLimit(confidence);

    /// <summary>
    /// The smallest bias that a set of this size and scatter would show with the given power (a share, such as 0.8).
    /// </summary>
    public double SmallestBiasShown(double confidence, double power) =>
        (Quantiles.TwoSidedT(confidence, Count - 1) + Quantiles.OneSidedT(power, Count - 1))
        * StandardErrorOfPrediction
        / Math.Sqrt(Count);

    /// <summary>Distance of the slope from 1 in standard errors: |b − 1|·√(s²(sensor)·(n − 1)/s²(residual)).</summary>
    public double SlopeT => Math.Abs(Slope - 1) * Math.Sqrt(SensorSquares) / ResidualDeviation;

    /// <summary>Whether the slope differs from 1 by more than chance, against t(n − 2).</summary>
    public bool SlopeIsSignificant(double confidence) => SlopeT > Quantiles.TwoSidedT(confidence, Count - 2);

    /// <summary>
    /// UECL: the largest SEP that agrees with a calibration's own standard error SEC. It is
    /// SEC·√F(n − 1; samples − terms − 1), for the calibration's number of samples and terms.
    /// </summary>
    public double UnexplainedErrorLimit(
        double calibrationStandardError,
        int calibrationSamples,
        int calibrationTerms,
        double confidence
    ) =>
        calibrationStandardError
        * Math.Sqrt(Quantiles.F(confidence, Count - 1, calibrationSamples - calibrationTerms - 1));

    private double SensorMean { get; }

    private double SensorSquares { get; }

    private static double Square(double value) => value * value;
}
