using System.Globalization;
using NutrientLedger.Agronomy.Factors;
using NutrientLedger.Agronomy.Nutrients;
using NutrientLedger.Agronomy.Units;

namespace NutrientLedger.Ledger;

/// <summary>Which forms of nitrogen were measured together.</summary>
internal enum NitrogenMeasured
{
    TotalAndAmmonium = 1,
    TotalOnly = 2,

    /// <summary>Total and ammonium in different volumes, so that their difference means nothing.</summary>
    Apart = 3,
}

/// <summary>The lines of a field for which a set gives the same figures, added up.</summary>
internal sealed record LinesAlike(
    Circumstances How,
    NitrogenMeasured Measured,
    LineAmounts Sums,
    CorrectedSums Corrected,
    LineKey First,
    FarmCalendar Calendar
)
{
    /// <summary>Groups the lines of a field and season; how they were spread is what was recorded for the start of their hour.</summary>
    public static IReadOnlyList<LinesAlike> Of(
        Register register,
        IEnumerable<KeyValuePair<LineKey, LineAmounts>> lines,
        string fieldId,
        int season,
        FactorSet set,
        Circumstances standing
    )
    {
        if (register.Calendar is not { } calendar)
            return [];
        var byDryMatter = set.Figures.Any(figure => figure.When.Any(when => when.Names("dryMatterPercent")));
        return
        [
            .. from line in lines
            where line.Key.FieldId == fieldId && line.Key.Season == season && line.Value.VolumeMillilitres > 0
            // In one order, so that the same lines give the same sum to the last bit.
            orderby line.Key.HourStartSeconds, line.Key.ApplicatorId, line.Key.PitId, line.Key.SensorId
            let method = register.Method(line.Key.ApplicatorId, fieldId, line.Key.HourStartSeconds * 1000)
            let corrected = CorrectedSums.Of(register, line.Key, line.Value)
            let how = standing.With(method) with
            {
                DryMatterPercent = byDryMatter ? DryMatterPercent(line.Value, corrected) : null,
            }
            group (line.Key, line.Value, Corrected: corrected) by (
                How: how,
                Measured: NitrogenIn(line.Value)
            ) into alike
            select new LinesAlike(
                alike.Key.How,
                alike.Key.Measured,
                alike.Aggregate(LineAmounts.None, (sum, line) => sum + line.Value),
                alike.Aggregate(default(CorrectedSums), (sum, line) => sum + line.Corrected),
                alike.First().Key,
                calendar
            ),
        ];
    }

    /// <summary>Nitrogen by form; organic nitrogen is none in a line whose ammonium was measured above its total.</summary>
    public NitrogenForms<Mass<Nitrogen>> Forms =>
        NitrogenAnalysis.OfTotal<Mass<Nitrogen>>(
            new(SpreadAmounts.Kilograms(Corrected.OrganicNitrogenFloored + Corrected.AmmoniumNitrogen)),
            new(SpreadAmounts.Kilograms(Corrected.AmmoniumNitrogen))
        );

    public Mass<Nitrogen> TotalNitrogen => new(SpreadAmounts.Kilograms(Corrected.TotalNitrogen));

    public Mass<Phosphorus> Phosphorus => new(SpreadAmounts.Kilograms(Corrected.Phosphorus));

    public Mass<Potassium> Potassium => new(SpreadAmounts.Kilograms(Corrected.Potassium));

    /// <summary>A missing figure in a sentence, and the missing method that is behind it.</summary>
    public string Explain(MissingFigure missing)
    {
        var what = missing.ToString().TrimEnd('.');
        return How.Method is null && missing.Kind.DependsOn.Contains("method")
            ? $"no spreading method is recorded for {First.ApplicatorId} at {Hour}, and {what}"
            : what;
    }

    private string Hour =>
        Calendar.OnTheClock(First.HourStartSeconds * 1000).ToString("yyyy-MM-dd HH:mm", CultureInfo.InvariantCulture);

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

    // Parts per million of fresh mass; 10 000 of them are a percent.
    private static double? DryMatterPercent(LineAmounts line, CorrectedSums corrected) =>
        line.VolumeMillilitres - line.DryMatter.MillilitresWithout is > 0 and var with
            ? (double)corrected.DryMatter / CorrectedSums.Millionths / with / 1e4
            : null;
}
