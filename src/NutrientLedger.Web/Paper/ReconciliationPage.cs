using System.Globalization;
using NutrientLedger.Agronomy.Units.Chemistry;
using NutrientLedger.Ledger.Storage;
using NutrientLedger.Web.Contracts.Storage;
using NutrientLedger.Web.Queries.Storage;
using NutrientLedger.Web.Wording;

namespace NutrientLedger.Web.Paper;

/// <summary>
/// A pit's reconciliation as a page to print: finding, cautions and balance in mL, then measurements with tests,
/// nutrients and the verdict by day.
/// </summary>
internal static class ReconciliationPage
{
    public static string Of(ReconciledPit reconciled, DateTimeOffset madeAt, DisplayUnits units)
    {
        var answer = ReconciliationMapping.Response(reconciled);
        var (whole, statement) = (answer.Whole, reconciled.Whole.Statement);
        var page = new PaperPage(
            Text($"Reconciliation of {answer.Pit}, {FirstToLast(answer)}"),
            reconciled.Farm.Name,
            "Did everything pumped reach the fields?"
        );
        page.Facts(
            ("Pit", $"{reconciled.Pit.Name} ({answer.Pit})"),
            ("Period", $"{FirstToLast(answer)}, whole days by the clock of {reconciled.Farm.TimeZone}"),
            ("Calculated to", Text($"{answer.CalculatedTo:yyyy-MM-dd HH:mm:ss zzz}, farm time")),
            ("Result", ReconciliationResponse.InWords(whole.Verdict)),
            ("Journal position", Text($"{answer.Position}")),
            ("Printed", PaperPage.Moment(madeAt))
        );
        if (answer.IsBeingCorrected)
            page.Finding(ReconciliationResponse.BeingCorrected);
        page.Finding(ReconciliationMapping.Finding(reconciled.Whole, Format));
        page.Sentence(whole.Test);
        if (ReconciliationMapping.IdleFinding(reconciled.Whole, Format) is { } moved)
            page.Finding(moved);
        page.Caution(answer.Caution);
        Sum(page, statement, units);
        Measurements(page, whole, units);
        Nutrients(page, whole, units);
        Rest(page, whole, units);
        Days(page, reconciled, answer, units, Format);
        return page.Foot(
            "Includes all data up to this journal position. ± is one standard deviation: two of three readings are closer than this. The test value is the adjustment divided by its standard deviation. Values are rounded; the JSON at the same address has exact ones.",
            "For information only. Local code and the farm's nutrient plan prevail; a licensed or certified planner decides."
        );

        string Format(double cubicMetres) => $"{units.VolumeOf(cubicMetres)} {units.Volume}";
    }

    private static void Sum(PaperPage page, ReconciledPitPeriod statement, DisplayUnits units)
    {
        var measured = statement.Reconciliation.Input;
        page.Section("Pit balance");
        page.Table(
            measured.Stock is { } stock
                ? $"Volume in the pit from {stock.Measurement}"
                : "No level at start and end: the balance cannot be closed",
            ["", "mL", units.Volume],
            [
                Row("start", measured.Stock?.StartMillilitres),
                .. measured.Inflow.Select(item => Row($"+ {item.Measurement}", item.Millilitres)),
                .. measured.Outflow.Select(item => Row($"− {item.Measurement}", item.Millilitres)),
                .. measured.Draws.Select(drawing =>
                    Row($"− {drawing.Metered.Measurement}", drawing.Metered.Millilitres)
                ),
                Row("− end", measured.Stock?.EndMillilitres),
                Row("= unexplained", measured.UnexplainedMillilitres),
            ],
            numberColumns: 2
        );
        page.Sentence(ReconciliationResponse.Signs);
        page.EndSection();

        string[] Row(string name, long? millilitres) =>
            [
                name,
                millilitres?.ToString("N0", CultureInfo.InvariantCulture) ?? "not known",
                units.VolumeOf(millilitres / 1e6),
            ];
    }

    private static void Measurements(PaperPage page, ReconciledPeriodResponse whole, DisplayUnits units)
    {
        page.Section("Measurements and tests");
        page.Table(
            $"In {units.Volume}. Level and tape show the drawdown of the pit. Levels with no pumping give the mean content.",
            [
                "measurement",
                "measured",
                "± one deviation",
                "best estimate",
                "± one deviation",
                "test",
                "source of deviation",
            ],
            whole.Measurements.Select(measurement =>
                new[]
                {
                    measurement.Name,
                    units.VolumeOf(measurement.MeasuredCubicMetres),
                    units.VolumeOf(measurement.DeviationCubicMetres),
                    measurement.AdjustedCubicMetres is { } all ? units.VolumeOf(all) : "–",
                    measurement.AdjustedDeviationCubicMetres is { } left ? units.VolumeOf(left) : "–",
                    measurement.Test,
                    measurement.KnownFrom ?? "",
                }
            ),
            numberColumns: 4
        );
        page.EndSection();
    }

    private static void Nutrients(PaperPage page, ReconciledPeriodResponse whole, DisplayUnits units)
    {
        page.Section("Nutrients");
        page.Table(
            $"Content × volume, in {units.Mass}",
            ["nutrient", $"mean content, {units.Content}", "by meter", "best estimate", "unexplained"],
            whole.Nutrients.Select(nutrient =>
                new[]
                {
                    AsWritten(nutrient.Nutrient),
                    units.ContentOf(InOxide(nutrient.Nutrient, nutrient.MeanKilogramsPerCubicMetre)),
                    units.MassOf(InOxide(nutrient.Nutrient, nutrient.ByMeterKilograms)),
                    units.MassOf(InOxide(nutrient.Nutrient, nutrient.AdjustedKilograms)),
                    units.MassOf(InOxide(nutrient.Nutrient, nutrient.UnexplainedKilograms)),
                }
            ),
            numberColumns: 4
        );
        foreach (var stored in whole.InPitAtEnd)
            page.Sentence(
                Text(
                    $"In the pit at the end: {units.MassOf(InOxide(stored.Nutrient, stored.Kilograms))} {units.Mass} {AsWritten(stored.Nutrient)}. Content measured {stored.AgeDays:0.0} days earlier."
                )
            );
        page.EndSection();
    }

    private static void Rest(PaperPage page, ReconciledPeriodResponse whole, DisplayUnits units)
    {
        page.Section("Where it went");
        page.Facts(
            ("Spread on fields", Volume(whole.OnFieldsCubicMetres)),
            ("Spread outside fields", Volume(whole.OutsideFieldsCubicMetres)),
            ("Pumped with tool raised", Volume(whole.DisengagedCubicMetres)),
            ("Metered, position unknown", Volume(whole.NotPlacedCubicMetres)),
            ("Metered between readings, not placed", Volume(whole.BetweenReadingsMillilitres / 1e6)),
            ("Metered, source pit unknown", Volume(whole.MeteredFromNoPitCubicMetres)),
            ("Levels used", Text($"{whole.LevelsKept:N0}")),
            ("Levels excluded (waves, foam, dropouts)", Text($"{whole.LevelsExcluded:N0}")),
            (
                "Effect of excluding them",
                whole.LevelsExcluded == 0 ? "none excluded"
                : whole.DrawnDownByFilterMillilitres is { } changed
                    ? $"drawdown {(changed < 0 ? "lower" : "higher")} by {Volume(Math.Abs(changed) / 1e6)}"
                : "no levels left"
            ),
            (
                "Days until full at this inflow, no rain",
                whole.DaysUntilFull is { } days
                    ? Text($"{days:N0} {(days is >= 0.5 and < 1.5 ? "day" : "days")}")
                    : "not known"
            )
        );
        foreach (var note in whole.Notes)
            page.Note(note);
        page.EndSection();

        string Volume(double cubicMetres) => $"{units.VolumeOf(cubicMetres)} {units.Volume}";
    }

    private static void Days(
        PaperPage page,
        ReconciledPit reconciled,
        ReconciliationResponse answer,
        DisplayUnits units,
        Func<double, string> volume
    )
    {
        page.Section("Day by day");
        page.Table(
            $"Volumes in {units.Volume}",
            ["day", "metered", "unexplained", "result", "finding"],
            answer.Days.Zip(
                reconciled.Days,
                (day, one) =>
                    new[]
                    {
                        Day(day.Day),
                        units.VolumeOf(day.MeteredCubicMetres),
                        units.VolumeOf(day.UnexplainedCubicMetres),
                        ReconciliationResponse.InWords(day.Verdict),
                        ReconciliationMapping.Finding(one, volume),
                    }
            ),
            numberColumns: 2
        );
        page.EndSection();
    }

    // Plans and labels give P and K as oxides; the ledger is elemental.
    private static string AsWritten(string nutrient) =>
        nutrient switch
        {
            "P" => "P2O5",
            "K" => "K2O",
            _ => nutrient,
        };

    private static double? InOxide(string nutrient, double? elemental) =>
        nutrient switch
        {
            "P" => elemental * Oxides.P2O5PerPhosphorus,
            "K" => elemental * Oxides.K2OPerPotassium,
            _ => elemental,
        };

    private static string FirstToLast(ReconciliationResponse answer) =>
        answer.To == answer.From.AddDays(1) ? Day(answer.From) : $"{Day(answer.From)} to {Day(answer.To.AddDays(-1))}";

    private static string Day(DateOnly day) => day.ToString("yyyy-MM-dd", CultureInfo.InvariantCulture);

    private static string Text(FormattableString text) => text.ToString(CultureInfo.InvariantCulture);
}
