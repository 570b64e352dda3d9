using System.Globalization;
using NutrientLedger.Agronomy;
using NutrientLedger.Ledger;
using NutrientLedger.Office.Answers;

namespace NutrientLedger.Office.Asking;

/// <summary>
/// A pit's statement of reconciliation as a page of paper: the finding and the cautions first, then the sum to the millilitre, every
/// measurement under its test, nutrients, and the verdict day by day.
/// </summary>
internal static class ReconciliationPage
{
    public static string Of(ReckonedPit reckoned, DateTimeOffset madeAt, StatementUnits units)
    {
        var answer = ReconciliationBook.Answer(reckoned);
        var (whole, statement) = (answer.Whole, reckoned.Whole.Statement);
        var page = new PaperPage(
            Text($"Reconciliation of {answer.Pit}, {FirstToLast(answer)}"),
            reckoned.Farm.Name,
            "Did what left the pit reach the fields?"
        );
        page.Facts(
            ("Pit", $"{reckoned.Pit.Name} ({answer.Pit})"),
            ("Period", $"{FirstToLast(answer)}, whole days by the clock of {reckoned.Farm.TimeZone}"),
            ("Reckoned up to", Text($"{answer.ReckonedTo:yyyy-MM-dd HH:mm:ss zzz}, farm time")),
            ("Verdict", ReconciliationAnswer.InWords(whole.Verdict)),
            ("Journal position", Text($"{answer.Position}")),
            ("Statement made", PaperPage.Moment(madeAt))
        );
        if (answer.IsBeingCorrected)
            page.Finding(ReconciliationAnswer.BeingCorrected);
        page.Finding(ReconciliationBook.Finding(reckoned.Whole, Said));
        page.Sentence(whole.Test);
        if (ReconciliationBook.IdleFinding(reckoned.Whole, Said) is { } moved)
            page.Finding(moved);
        page.Caution(answer.Caution);
        Sum(page, statement, units);
        Measurements(page, whole, units);
        Nutrients(page, whole, units);
        Rest(page, whole, units);
        Days(page, reckoned, answer, units, Said);
        return page.Foot(
            "Counted: everything in the journal up to this position. One deviation is one standard deviation: about two of three readings err by less. A test figure is how many standard deviations of its own adjustment a measurement had to be moved. Rounded for reading; the exact figures are in the JSON at the same address.",
            "These figures inform; local code and the farm's nutrient plan prevail, and a licensed or certified planner decides."
        );

        string Said(double cubicMetres) => $"{units.VolumeOf(cubicMetres)} {units.Volume}";
    }

    private static void Sum(PaperPage page, PitStatement statement, StatementUnits units)
    {
        var story = statement.Reconciliation.Story;
        page.Section("The pit's own sum");
        page.Table(
            story.Stock is { } stock
                ? $"Stock by {stock.Witness}"
                : "Without a stock at start and end the sum stays open",
            ["", "mL", units.Volume],
            [
                Row("in the pit at the start", story.Stock?.StartMillilitres),
                .. story.Inflow.Select(told => Row($"+ {told.Witness}", told.Millilitres)),
                .. story.Outflow.Select(told => Row($"− {told.Witness}", told.Millilitres)),
                .. story.Drawings.Select(drawing => Row($"− {drawing.Metered.Witness}", drawing.Metered.Millilitres)),
                Row("− in the pit at the end", story.Stock?.EndMillilitres),
                Row("= unexplained", story.UnexplainedMillilitres),
            ],
            figures: 2
        );
        page.Sentence(ReconciliationAnswer.Signs);
        page.EndSection();

        string[] Row(string name, long? millilitres) =>
            [
                name,
                millilitres?.ToString("N0", CultureInfo.InvariantCulture) ?? "not known",
                units.VolumeOf(millilitres / 1e6),
            ];
    }

    private static void Measurements(PaperPage page, ReconciledPeriod whole, StatementUnits units)
    {
        page.Section("Every measurement under its test");
        page.Table(
            $"In {units.Volume}; level and tape tell by how much the pit was drawn down, their standing levels the mean content",
            [
                "measurement",
                "told",
                "± one deviation",
                "by all together",
                "± one deviation",
                "test",
                "deviation known from",
            ],
            whole.Witnesses.Select(witness =>
                new[]
                {
                    witness.Witness,
                    units.VolumeOf(witness.ToldCubicMetres),
                    units.VolumeOf(witness.DeviationCubicMetres),
                    witness.ReconciledCubicMetres is { } all ? units.VolumeOf(all) : "–",
                    witness.ReconciledDeviationCubicMetres is { } left ? units.VolumeOf(left) : "–",
                    witness.Test,
                    witness.KnownFrom ?? "",
                }
            ),
            figures: 4
        );
        page.EndSection();
    }

    private static void Nutrients(PaperPage page, ReconciledPeriod whole, StatementUnits units)
    {
        page.Section("Nutrients");
        page.Table(
            $"Content × volume, in {units.Mass}",
            ["nutrient", $"mean content, {units.Content}", "by the meters", "by all together", "unexplained"],
            whole.Nutrients.Select(nutrient =>
                new[]
                {
                    AsWritten(nutrient.Nutrient),
                    units.ContentOf(InOxide(nutrient.Nutrient, nutrient.MeanKilogramsPerCubicMetre)),
                    units.MassOf(InOxide(nutrient.Nutrient, nutrient.ByMeterKilograms)),
                    units.MassOf(InOxide(nutrient.Nutrient, nutrient.ReconciledKilograms)),
                    units.MassOf(InOxide(nutrient.Nutrient, nutrient.UnexplainedKilograms)),
                }
            ),
            figures: 4
        );
        foreach (var stored in whole.InPitAtEnd)
            page.Sentence(
                Text(
                    $"In the pit at the end: {units.MassOf(InOxide(stored.Nutrient, stored.Kilograms))} {units.Mass} {AsWritten(stored.Nutrient)}, by the content last measured, {stored.AgeDays:0.0} days before."
                )
            );
        page.EndSection();
    }

    private static void Rest(PaperPage page, ReconciledPeriod whole, StatementUnits units)
    {
        page.Section("Where it went, and what else is to be said");
        page.Facts(
            ("Spread on fields", Volume(whole.OnFieldsCubicMetres)),
            ("Spread outside all fields", Volume(whole.OutsideFieldsCubicMetres)),
            ("Run while not engaged", Volume(whole.DisengagedCubicMetres)),
            ("Metered, not placed", Volume(whole.NotPlacedCubicMetres)),
            ("Metered by machines with no recorded source, in no pit's sum", Volume(whole.MeteredFromNoPitCubicMetres)),
            ("Levels used", Text($"{whole.LevelsKept:N0}")),
            ("Levels left out as waves, foam or dropouts", Text($"{whole.LevelsSetAside:N0}")),
            (
                "What leaving them out changed",
                whole.LevelsSetAside == 0 ? "nothing was left out"
                : whole.DrawnDownByFilterMillilitres is { } changed
                    ? $"the sensor says {Volume(Math.Abs(changed) / 1e6)} {(changed < 0 ? "less" : "more")} were drawn down"
                : "no level is known without them"
            ),
            (
                "Room until full at this inflow, without rain",
                whole.DaysOfRoom is { } days
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
        ReckonedPit reckoned,
        ReconciliationAnswer answer,
        StatementUnits units,
        Func<double, string> volume
    )
    {
        page.Section("Day by day");
        page.Table(
            $"Volumes in {units.Volume}",
            ["day", "by the meters", "unexplained", "verdict", "finding"],
            answer.Days.Zip(
                reckoned.Days,
                (day, one) =>
                    new[]
                    {
                        Day(day.Day),
                        units.VolumeOf(day.MeteredCubicMetres),
                        units.VolumeOf(day.UnexplainedCubicMetres),
                        ReconciliationAnswer.InWords(day.Verdict),
                        ReconciliationBook.Finding(one, volume),
                    }
            ),
            figures: 2
        );
        page.EndSection();
    }

    // Plans and labels write P and K as oxides; the ledger is elemental.
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

    private static string FirstToLast(ReconciliationAnswer answer) =>
        answer.To == answer.From.AddDays(1) ? Day(answer.From) : $"{Day(answer.From)} to {Day(answer.To.AddDays(-1))}";

    private static string Day(DateOnly day) => day.ToString("yyyy-MM-dd", CultureInfo.InvariantCulture);

    private static string Text(FormattableString text) => text.ToString(CultureInfo.InvariantCulture);
}
