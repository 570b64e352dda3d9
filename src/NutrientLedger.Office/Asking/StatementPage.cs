using System.Globalization;
using NutrientLedger.Agronomy.Written;
using NutrientLedger.Ledger;

namespace NutrientLedger.Office.Asking;

/// <summary>
/// A statement as a page of paper: who corrected what and why, then a table for each field with before, change and after.
/// </summary>
internal static class StatementPage
{
    private static readonly string[] Columns = ["amount", "before", "change", "after"];

    public static string Of(Statement statement, DateTimeOffset madeAt, StatementBook book, StatementUnits units)
    {
        var cause = statement.Cause;
        var page = new PaperPage(
            Text($"Statement {cause.Position}, {statement.Farm}"),
            statement.Farm,
            "What a correction changed"
        );
        page.Sentence(book.What(cause, units));
        page.Facts(
            ("Decided by", cause.By ?? "not recorded"),
            ("Why", cause.Why ?? "not recorded"),
            ("Laboratory reports", cause.LabReports.Length > 0 ? string.Join(", ", cause.LabReports) : "none named"),
            ("Recorded", book.Moment(cause.RecordedAt)),
            ("Journal position", Text($"{cause.Position}")),
            ("Statement made", book.Moment(madeAt))
        );
        page.Finding(statement.Summary);
        foreach (var field in statement.Fields)
            Add(page, field, units);
        foreach (var pit in statement.Levels)
            page.Sentence(Text($"Pit {pit.Pit}: levels of {Counted.Of(pit.Hours, "hour")} changed."));
        return page.Foot(
            "These figures inform; local code and the farm's nutrient plan prevail, and a licensed or certified planner decides.",
            "Counted: everything in the journal up to this correction. Rounded for reading; the exact figures are in the statement's JSON."
        );
    }

    private static void Add(PaperPage page, StatedField field, StatementUnits units)
    {
        var name = field.Field is null ? "Outside all fields" : $"{field.Name ?? field.Field} ({field.Field})";
        page.Section(Text($"{name}, season {field.Season}"));
        Add(page, "All pits", field.Amounts, field.Available, units);
        // One pit with the field's own figures would only say them twice.
        if (field.Pits.Length != 1 || field.Pits[0].Amounts != field.Amounts)
            foreach (var pit in field.Pits)
                Add(page, pit.Pit is { } id ? $"From pit {id}" : "From no recorded pit", pit.Amounts, null, units);
        page.EndSection();
    }

    private static void Add(
        PaperPage page,
        string title,
        StatedAmounts amounts,
        StatedAvailability? available,
        StatementUnits units
    )
    {
        page.Table(title, Columns, Rows(amounts, available, units), figures: 3);
        if (amounts.AtLeast)
            page.Note("At least: part of the volume came without a content.");
        if (available is not null)
            page.Note(
                $"Available N by the set {available.FactorSet}{(available.Source is { } source ? $": {source}" : "")}. {available.ReasonAfter ?? available.ReasonBefore ?? ""}"
            );
    }

    private static IEnumerable<string[]> Rows(
        StatedAmounts amounts,
        StatedAvailability? available,
        StatementUnits units
    )
    {
        yield return Row($"volume, {units.Volume}", amounts.VolumeCubicMetres, units.VolumeOf);
        if (amounts.DisengagedCubicMetres is not { Before: 0, After: 0 })
            yield return Row($"run while not engaged, {units.Volume}", amounts.DisengagedCubicMetres, units.VolumeOf);
        if (amounts.NotPlacedCubicMetres is not { Before: 0, After: 0 })
            yield return Row($"metered, not placed, {units.Volume}", amounts.NotPlacedCubicMetres, units.VolumeOf);
        yield return Row($"total N, {units.Mass}", amounts.TotalNitrogenKilograms, units.MassOf);
        yield return Row($"ammonium N, {units.Mass}", amounts.AmmoniumNitrogenKilograms, units.MassOf);
        yield return Row($"P2O5, {units.Mass}", amounts.P2O5Kilograms, units.MassOf);
        yield return Row($"K2O, {units.Mass}", amounts.K2OKilograms, units.MassOf);
        if (available is not null)
            yield return Row($"available N in this season, {units.Mass}", available.NitrogenKilograms, units.MassOf);
        yield return Row("dry matter, %", amounts.DryMatterPercent, StatementUnits.PercentOf);
        yield return Row(
            "on flagged readings, % of volume",
            new(amounts.FlaggedShareOfVolume.Before * 100, amounts.FlaggedShareOfVolume.After * 100),
            StatementUnits.PercentOf
        );
    }

    private static string[] Row(string name, StatedAmount amount, Func<decimal?, string> say) =>
        [name, say(amount.Before), say(amount.Change), say(amount.After)];

    private static string Text(FormattableString text) => text.ToString(CultureInfo.InvariantCulture);
}
