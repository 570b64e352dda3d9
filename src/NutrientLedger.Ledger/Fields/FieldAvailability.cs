using NutrientLedger.Agronomy.Factors;
using NutrientLedger.Agronomy.Nutrients;
using NutrientLedger.Agronomy.Units;
using NutrientLedger.Agronomy.Units.Chemistry;
using NutrientLedger.Journal.Fields;
using NutrientLedger.Ledger.Configuration;
using NutrientLedger.Ledger.Lines;

namespace NutrientLedger.Ledger.Fields;

/// <summary>
/// The nutrients that a crop can use of what was spread on a field, by the farm's set for the season. It covers this
/// first year and, separately, the nitrogen that still comes from the two seasons before. The set is null when this hub
/// does not know it.
/// </summary>
public sealed record FieldAvailability(
    AvailabilitySetChosen Chosen,
    FactorSet? Set,
    AvailableAmount Nitrogen,
    AvailableAmount CarriedOverNitrogen,
    AvailableAmount Phosphorus,
    AvailableAmount Potassium
)
{
    private const int LastYear = 3;

    /// <summary>Available phosphorus as oxide.</summary>
    public AvailableAmount P2O5 => AsOxide(Phosphorus, Oxides.P2O5PerPhosphorus);

    /// <summary>Available potassium as oxide.</summary>
    public AvailableAmount K2O => AsOxide(Potassium, Oxides.K2OPerPotassium);

    /// <summary>Every coefficient used for one of the amounts, once.</summary>
    public IEnumerable<UsedCoefficient> Coefficients =>
        new[] { Nitrogen, Phosphorus, Potassium, CarriedOverNitrogen }
            .SelectMany(amount => amount.Coefficients)
            .Distinct();

    /// <summary>
    /// Null when the farm has chosen no set for the season. The lines may be those of the whole farm.
    /// </summary>
    public static FieldAvailability? Of(
        FarmConfiguration configuration,
        IEnumerable<KeyValuePair<LineKey, LineAmounts>> lines,
        string fieldId,
        int season
    )
    {
        if (configuration.Availability(season) is not (var chosen, var known))
            return null;
        if (known is not { } set)
        {
            var none = AvailableAmount.None(new UnknownFactorSet(chosen.SetId));
            return new(chosen, null, none, none, none, none);
        }
        var defaults = DefaultCircumstances.Of(chosen.Circumstances);
        var years = Enumerable.Range(1, LastYear).Select(year => (Year: year, Alike: InYear(year))).ToArray();
        var first = years[0].Alike;
        return new(
            chosen,
            set,
            NitrogenOf(set, years[..1]),
            CarriedOver(configuration, set, season, years[1..]),
            Mineral(first, lines => lines.Sums.Phosphorus, lines => PhosphorusIn(lines, set)),
            Mineral(first, lines => lines.Sums.Potassium, lines => PotassiumIn(lines, set))
        );

        IReadOnlyList<LineGroup> InYear(int year) =>
            LineGroup.Of(configuration, lines, fieldId, season + 1 - year, set, defaults);
    }

    private static AvailableAmount AsOxide(AvailableAmount elemental, double oxidePerElement) =>
        elemental with
        {
            Kilograms = elemental.Kilograms * oxidePerElement,
        };

    private static AvailableAmount CarriedOver(
        FarmConfiguration configuration,
        FactorSet set,
        int season,
        (int Year, IReadOnlyList<LineGroup> Alike)[] earlier
    )
    {
        var begins = configuration.Farm?.LedgerBegins;
        var isYoung = begins > configuration.Calendar?.FirstDayOf(season + 1 - LastYear);
        if (isYoung && begins is { } day && earlier.All(year => year.Alike.Count == 0))
            return AvailableAmount.None(new LedgerTooYoung(day));
        var sum = NitrogenOf(set, earlier);
        return sum with { AtLeast = sum.Kilograms is not null && (sum.AtLeast || isYoung) };
    }

    private static AvailableAmount NitrogenOf(FactorSet set, (int Year, IReadOnlyList<LineGroup> Alike)[] years)
    {
        var sum = new AvailableSum();
        foreach (var (year, alike) in years)
        foreach (var lines in alike)
            if (set.Scheme == Scheme.AmmoniumAndOrganic && lines.Measured == NitrogenMeasured.Apart)
                sum.AddUnavailable(lines, new FormsMeasuredApart());
            else
                sum.Add(lines, lines.Sums.TotalNitrogen, NitrogenIn(lines, year, set));
        return sum.Close();
    }

    private static TracedValue<double> NitrogenIn(LineGroup lines, int year, FactorSet set)
    {
        if (set.Scheme == Scheme.TotalNitrogen)
            return InYear(NitrogenAnalysis.OfTotal(lines.TotalNitrogen, ammonium: new(0)));
        // Without an analysis of ammonium the set may give its default share of total nitrogen.
        return lines.Measured == NitrogenMeasured.TotalOnly
            ? NitrogenAvailability.FormsOf(lines.TotalNitrogen, lines.Circumstances, set).Then(InYear)
            : InYear(lines.Forms);

        TracedValue<double> InYear(NitrogenForms<Mass<Nitrogen>> applied) =>
            NitrogenAvailability
                .InYear(year, applied, lines.Circumstances, set)
                .As(available => available.Amount.Kilograms);
    }

    private static AvailableAmount Mineral(
        IEnumerable<LineGroup> alike,
        Func<LineGroup, AnalyteSums> measured,
        Func<LineGroup, TracedValue<double>> available
    )
    {
        var sum = new AvailableSum();
        foreach (var lines in alike)
            sum.Add(lines, measured(lines), available(lines));
        return sum.Close();
    }

    private static TracedValue<double> PhosphorusIn(LineGroup lines, FactorSet set) =>
        MineralAvailability.OfPhosphorus(1, lines.Phosphorus, lines.Circumstances, set).As(mass => mass.Kilograms);

    private static TracedValue<double> PotassiumIn(LineGroup lines, FactorSet set) =>
        MineralAvailability.OfPotassium(1, lines.Potassium, lines.Circumstances, set).As(mass => mass.Kilograms);
}
