using System.Globalization;
using NutrientLedger.Agronomy.Written;
using NutrientLedger.Ledger;

namespace NutrientLedger.Office.Asking;

/// <summary>
/// A statement as a page of paper: who corrected what, when and why, where that changed something, then a table for each field and pit
/// with before, after and change.
/// </summary>
internal static class StatementPage
{
    /// <summary>How the stored names begin of what adopts calibrations or takes them back.</summary>
    private const string Calibrations = "calibration_";

    private static readonly string[] Columns = ["amount", "before", "after", "change"];

    public static string Of(Statement statement, DateTimeOffset madeAt, StatementBook book, StatementUnits units)
    {
        var cause = statement.Cause;
        var page = new PaperPage(
            Text($"Statement {cause.Position}, {statement.Farm}"),
            statement.Farm,
            "What a correction changed"
        );
        page.Sentence(book.What(cause, units));
        page.Facts([
            ("Farm", book.Farm),
            ("Decided by", cause.By ?? "not recorded"),
            ("Why", cause.Why ?? "not recorded"),
            // What no report can be the reason for is not said to lack one.
            .. cause.LabReports.Length > 0 ? [("Laboratory reports", string.Join(", ", cause.LabReports))]
            : cause.Kind.StartsWith(Calibrations, StringComparison.Ordinal) ? [("Laboratory reports", "none named")]
            : Array.Empty<(string, string)>(),
            ("Recorded", book.Moment(cause.RecordedAt)),
            ("Journal position", Text($"{cause.Position}")),
            ("Statement made", book.Moment(madeAt)),
        ]);
        page.Finding(Changed(statement, book));
        foreach (var field in InOrder(statement))
            Add(page, field, book, units);
        if (statement.Fields.Any(field => field.Amounts.FlaggedShareOfVolume is not { Before: 0, After: 0 }))
            page.Note(
                "Flagged: a rule doubts a reading, such as a content outside the limits set or a tool engaged with too little flow. It counts all the same until somebody decides otherwise."
            );
        return page.Foot(
            "These figures inform; local code and the farm's nutrient plan prevail, and a licensed or certified planner decides.",
            "Amounts are those of the whole season up to this correction, by everything that had arrived when it was recorded. Rounded for reading; the exact figures are in the statement's JSON."
        );
    }

    /// <summary>Where something changed, so that nobody need turn all pages to see it.</summary>
    private static string Changed(Statement statement, StatementBook book)
    {
        string[] changed =
        [
            .. InOrder(statement).Select(field => Text($"{Name(field)}, season {field.Season}")),
            .. statement.Levels.Select(pit =>
                Text($"the level in {Counted.Of(pit.Hours, "hour")} of pit {book.Pit(pit.Pit)}")
            ),
        ];
        return changed.Length == 0
            ? "Nothing changed: all that had arrived by then comes to the same."
            : $"Changed: {string.Join("; ", changed)}.";
    }

    /// <summary>Fields first; what lay outside all of them is seldom what is looked for.</summary>
    private static IEnumerable<StatedField> InOrder(Statement statement) =>
        statement.Fields.OrderBy(field => field.Field is null);

    private static string Name(StatedField field) =>
        field.Field is null ? "outside all fields" : $"{field.Name ?? field.Field} ({field.Field})";

    private static void Add(PaperPage page, StatedField field, StatementBook book, StatementUnits units)
    {
        var name = Name(field);
        page.Section(Text($"{char.ToUpperInvariant(name[0])}{name[1..]}, season {field.Season}"));
        // One pit with the field's own figures would only say them twice.
        var single = field.Pits is [var only] && only.Amounts == field.Amounts ? only : null;
        Add(page, single is null ? "All pits" : From(single, book), field.Amounts, field.Available, units);
        if (field.Field is not null)
            page.Note(AvailableBy(field.Available));
        if (single is null)
            foreach (var pit in field.Pits)
                Add(page, From(pit, book), pit.Amounts, null, units);
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
            page.Note("Nutrients are at least these: part of the volume came without a content.");
    }

    private static string From(StatedPit pit, StatementBook book) =>
        pit.Pit is { } id ? $"From pit {book.Pit(id)}" : "From no recorded pit";

    private static string AvailableBy(StatedAvailability? available)
    {
        if (available is null)
            return "No availability set was chosen for this season, so available N is not stated.";
        var source = available.Source is { } named ? $" ({named})" : "";
        var reason = (available.ReasonAfter ?? available.ReasonBefore) is { } why ? $" Not known: {why}." : "";
        return $"Available N by the factor set {available.FactorSet}{source}.{reason}";
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
        [name, say(amount.Before), say(amount.After), Signed(amount.Change, say)];

    // A change that is too small for the decimals shown still has its sign; none at all is said as none.
    private static string Signed(decimal? change, Func<decimal?, string> say) =>
        change switch
        {
            null => say(null),
            0 => "none",
            > 0 => $"+{say(change)}",
            _ => $"−{say(-change)}",
        };

    private static string Text(FormattableString text) => text.ToString(CultureInfo.InvariantCulture);
}
