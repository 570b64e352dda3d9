using NutrientLedger.Agronomy.Factors;
using NutrientLedger.Agronomy.Factors.Conditions;
using NutrientLedger.Agronomy.Nutrients;
using NutrientLedger.Agronomy.Units;
using NutrientLedger.Agronomy.Units.Chemistry;
using NutrientLedger.Ledger.Configuration;
using NutrientLedger.Ledger.Lines;

namespace NutrientLedger.Ledger.Fields;

/// <summary>Which forms of nitrogen were measured together.</summary>
internal enum NitrogenMeasured
{
    TotalAndAmmonium = 1,
    TotalOnly = 2,

    /// <summary>Total and ammonium in different volumes. Their difference then has no meaning.</summary>
    Apart = 3,
}

/// <summary>The lines of a field with the same coefficients of a set, added up.</summary>
internal sealed record LineGroup(
    Circumstances Circumstances,
    NitrogenMeasured Measured,
    LineAmounts Sums,
    CalibratedSums Calibrated,
    LineKey First,
    FarmCalendar Calendar
)
{
    /// <summary>
    /// Groups the lines of a field and season. The method is the one recorded for the start of their hour.
    /// </summary>
    public static IReadOnlyList<LineGroup> Of(
        FarmConfiguration configuration,
        IEnumerable<KeyValuePair<LineKey, LineAmounts>> lines,
        string fieldId,
        int season,
        FactorSet set,
        Circumstances defaults
    )
    {
        if (configuration.Calendar is not { } calendar)
            return [];
        var byDryMatter = set.Coefficients.Any(coefficient =>
            coefficient.When.Any(when => when.Names("dryMatterPercent"))
        );
        return
        [
            .. from line in lines
            where line.Key.FieldId == fieldId && line.Key.Season == season && line.Value.VolumeMillilitres > 0
            // In one order, so that the same lines give the same sum to the last bit.
            orderby line.Key.HourStartSeconds, line.Key.ApplicatorId, line.Key.PitId, line.Key.SensorId
            let method = configuration.Method(line.Key.ApplicatorId, fieldId, line.Key.HourStartSeconds * 1000)
            let calibrated = CalibratedSums.Of(configuration, line.Key, line.Value)
            let circumstances = defaults.With(method) with
            {
                DryMatterPercent = byDryMatter ? DryMatterPercent(line.Value, calibrated) : null,
            }
            group (line.Key, line.Value, Corrected: calibrated) by (
                How: circumstances,
                Measured: NitrogenIn(line.Value)
            ) into alike
            select new LineGroup(
                alike.Key.How,
                alike.Key.Measured,
                alike.Aggregate(LineAmounts.None, (sum, line) => sum + line.Value),
                alike.Aggregate(default(CalibratedSums), (sum, line) => sum + line.Corrected),
                alike.First().Key,
                calendar
            ),
        ];
    }

    /// <summary>
    /// Nitrogen by form. Organic nitrogen is 0 in a line whose ammonium was measured above its total.
    /// </summary>
    public NitrogenForms<Mass<Nitrogen>> Forms =>
        NitrogenAnalysis.OfTotal<Mass<Nitrogen>>(
            new(SpreadAmounts.Kilograms(Calibrated.OrganicNitrogenFloored + Calibrated.AmmoniumNitrogen)),
            new(SpreadAmounts.Kilograms(Calibrated.AmmoniumNitrogen))
        );

    public Mass<Nitrogen> TotalNitrogen => new(SpreadAmounts.Kilograms(Calibrated.TotalNitrogen));

    public Mass<Phosphorus> Phosphorus => new(SpreadAmounts.Kilograms(Calibrated.Phosphorus));

    public Mass<Potassium> Potassium => new(SpreadAmounts.Kilograms(Calibrated.Potassium));

    /// <summary>A missing coefficient, and the missing method that is behind it.</summary>
    public NoCoefficient Explain(MissingCoefficient missing) =>
        new(
            missing,
            Circumstances.Method is null && missing.DependsOn("method")
                ? new(First.ApplicatorId, Calendar.ToFarmTime(First.HourStartSeconds * 1000))
                : null
        );

    private static NitrogenMeasured NitrogenIn(LineAmounts line)
    {
        var (withoutTotal, withoutAmmonium) = (
            line.TotalNitrogen.MillilitresWithout,
            line.AmmoniumNitrogen.MillilitresWithout
        );
        return withoutTotal == withoutAmmonium ? NitrogenMeasured.TotalAndAmmonium
            : withoutAmmonium == line.VolumeMillilitres ? NitrogenMeasured.TotalOnly
            : NitrogenMeasured.Apart;
    }

    // Parts per million of fresh mass. 10 000 of them are a percent.
    private static double? DryMatterPercent(LineAmounts line, CalibratedSums calibrated) =>
        line.VolumeMillilitres - line.DryMatter.MillilitresWithout is > 0 and var with
            ? (double)Int128.Max(calibrated.DryMatter, 0) / CalibratedSums.Millionths / with / 1e4
            : null;
}
