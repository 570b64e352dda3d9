using NutrientLedger.Agronomy.Storage;
using NutrientLedger.Journal.Storage;

namespace NutrientLedger.Ledger.Storage;

/// <summary>
/// A volume put together from several records. Errors stated with a record are its own, so their squares add up;
/// records that state none were measured alike and share one default error, which grows with their sum.
/// </summary>
internal sealed class MeasuredVolumeSum(PitPeriod period)
{
    private readonly SortedDictionary<PitMeasurement, double> unstated = [];
    private readonly List<string> knownFrom = [];
    private double millilitres;
    private double variance;

    /// <summary>One record's part in mL; its stated deviation, if it has one, times so many mL.</summary>
    public void Add(double part, PitMeasurement of, StatedDeviation? stated, double millilitresEach = 1)
    {
        millilitres += part;
        knownFrom.Add(PitFlows.KnownFrom(stated, PitDeviations.InForce(period, of)));
        if (stated is null)
            unstated[of] = unstated.GetValueOrDefault(of) + Math.Abs(part);
        else
            variance += Math.Pow(stated.Size * millilitresEach, 2);
    }

    /// <summary>An error without a volume: something was not measured and is assumed zero.</summary>
    public void AddUnmeasured(double deviationMillilitres, string from)
    {
        knownFrom.Add(from);
        variance += Math.Pow(deviationMillilitres, 2);
    }

    public MeasuredVolume Total(string measurement) =>
        new(
            measurement,
            PitFlows.Whole(millilitres),
            PitFlows.AtLeastALitre(
                Math.Sqrt(
                    variance
                        + unstated.Sum(part => Math.Pow(PitDeviations.InForce(period, part.Key).Size * part.Value, 2))
                )
            ),
            string.Join("; ", knownFrom.Distinct())
        );
}
