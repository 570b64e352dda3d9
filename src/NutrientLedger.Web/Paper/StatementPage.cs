using System.Globalization;
using NutrientLedger.Ledger.Corrections;
using NutrientLedger.Persistence.Seals;
using NutrientLedger.Web.Wording;

namespace NutrientLedger.Web.Paper;

/// <summary>
/// A statement as a page to print: who corrected what, when and why. Each field and pit has a table with before, after
/// and change.
/// </summary>
internal static class StatementPage
{
    /// <summary>Prefix of the event names of adopted and withdrawn calibrations.</summary>
    private const string Calibrations = "calibration_";

    private static readonly string[] Columns = ["amount", "before", "after", "change"];

    /// <summary>The page.</summary>
    /// <param name="statement">The stored statement.</param>
    /// <param name="madeAt">When it was stored.</param>
    /// <param name="seal">The newest seal of the farm as it is printed, or null without any.</param>
    /// <param name="wording">The words of the farm.</param>
    /// <param name="units">The units to show.</param>
    public static string Of(
        Statement statement,
        DateTimeOffset madeAt,
        StoredSeal? seal,
        StatementWording wording,
        DisplayUnits units
    )
    {
        var cause = statement.Cause;
        var page = new PaperPage(
            Text($"Statement {cause.Position}, {statement.Farm}"),
            statement.Farm,
            "What a correction changed"
        );
        page.Sentence(wording.What(cause, units));
        page.Facts([
            ("Farm", wording.Farm),
            ("Decided by", wording.By(cause, units) ?? "not recorded"),
            ("Reason", wording.Reason(cause) ?? "not recorded"),
            // A missing report is shown only for calibrations.
            .. cause.LabReports.Length > 0 ? [("Laboratory reports", string.Join(", ", cause.LabReports))]
            : cause.Kind.StartsWith(Calibrations, StringComparison.Ordinal) ? [("Laboratory reports", "none named")]
            : Array.Empty<(string, string)>(),
            ("Recorded", wording.Moment(cause.RecordedAt)),
            ("Journal position", Text($"{cause.Position}")),
            ("Statement created", wording.Moment(madeAt)),
            .. Facts(seal, wording),
        ]);
        page.Finding(wording.Changed(statement));
        foreach (var unposted in UnpostedWording.Of(statement.UnpostedBatches))
            page.Note(unposted);
        foreach (var field in StatementWording.InOrder(statement))
            Add(page, field, cause, wording, units);
        if (statement.Fields.Any(field => field.Amounts.FlaggedShareOfVolume is not { Before: 0, After: 0 }))
            page.Note(
                "Flagged readings broke a rule, such as a content outside the limits. They count until someone voids them."
            );
        if (statement.Fields.Any(field => field.Amounts.InNoSpreadZonesCubicMetres is not null))
            page.Note(NoSpreadZoneWording.Caution);
        return page.Foot(
            "For information only. Local code and the farm's nutrient plan prevail; a licensed or certified planner decides.",
            "Amounts are season totals up to this correction, from all data received by then. What meters counted between readings is not posted and not in them. Values are rounded; the statement's JSON has exact ones.",
            "The seal is the newest one when this page was made. A journal whose seal for that position is another one was changed since. The seal does not show what was recorded after it."
        );
    }

    /// <summary>
    /// A seal on paper is outside the hub, so it shows whether the journal before it was changed later.
    /// </summary>
    private static IEnumerable<(string, string)> Facts(StoredSeal? stored, StatementWording wording) =>
        stored is not { Seal: var seal }
            ? [("Journal sealed", "not yet")]
            :
            [
                ("Journal sealed", Text($"{wording.Moment(stored.SealedAt)}, up to position {seal.Position}")),
                ("Seal of this farm", seal.ChainHash),
                (Text($"Seal over {seal.Farms} farms"), seal.AllFarmsHash),
            ];

    private static void Add(
        PaperPage page,
        StatedField field,
        StatementCause cause,
        StatementWording wording,
        DisplayUnits units
    )
    {
        var name = StatementWording.Name(field);
        page.Section(Text($"{char.ToUpperInvariant(name[0])}{name[1..]}, season {field.Season}"));
        // With a single pit equal to the field, a second table would only repeat it.
        var single = field.Pits is [var only] && only.Amounts == field.Amounts ? only : null;
        Add(page, single is null ? "All pits" : From(single, wording), field.Amounts, field.Available, units);
        if (field.Field is not null)
            page.Note(wording.AvailableBy(field.Available, cause));
        if (single is null)
            foreach (var pit in field.Pits)
                Add(page, From(pit, wording), pit.Amounts, null, units);
        page.EndSection();
    }

    private static void Add(
        PaperPage page,
        string title,
        StatedAmounts amounts,
        StatedAvailability? available,
        DisplayUnits units
    )
    {
        page.Table(title, Columns, Rows(amounts, available, units), numberColumns: 3);
        if (amounts.UnknownIntervals is not null)
            page.Note("Volumes are minimums: in some intervals the meter does not show what ran.");
        if (amounts.AtLeast)
            page.Note("Nutrients are minimums: part of the volume has no measured content.");
    }

    private static string From(StatedPit pit, StatementWording wording) =>
        pit.Pit is { } id ? $"From pit {wording.Pit(id)}" : "Source pit unknown";

    private static IEnumerable<string[]> Rows(StatedAmounts amounts, StatedAvailability? available, DisplayUnits units)
    {
        yield return Row($"volume, {units.Volume}", amounts.VolumeCubicMetres, units.VolumeOf);
        if (amounts.InNoSpreadZonesCubicMetres is { } inside)
            yield return Row($"of it in no-spread zones, {units.Volume}", inside, units.VolumeOf);
        if (amounts.DisengagedCubicMetres is not { Before: 0, After: 0 })
            yield return Row($"pumped with tool raised, {units.Volume}", amounts.DisengagedCubicMetres, units.VolumeOf);
        if (amounts.NotPlacedCubicMetres is not { Before: 0, After: 0 })
            yield return Row(
                $"metered, position unknown, {units.Volume}",
                amounts.NotPlacedCubicMetres,
                units.VolumeOf
            );
        if (amounts.UnknownIntervals is { } unknown)
            yield return Row("intervals of unknown volume", unknown, Count);
        yield return Row($"total N, {units.Mass}", amounts.TotalNitrogenKilograms, units.MassOf);
        yield return Row($"ammonium N, {units.Mass}", amounts.AmmoniumNitrogenKilograms, units.MassOf);
        yield return Row($"P2O5, {units.Mass}", amounts.P2O5Kilograms, units.MassOf);
        yield return Row($"K2O, {units.Mass}", amounts.K2OKilograms, units.MassOf);
        if (available is not null)
            yield return Row($"available N this season, {units.Mass}", available.NitrogenKilograms, units.MassOf);
        yield return Row("dry matter, %", amounts.DryMatterPercent, DisplayUnits.PercentOf);
        yield return Row(
            "flagged readings, % of volume",
            new(amounts.FlaggedShareOfVolume.Before * 100, amounts.FlaggedShareOfVolume.After * 100),
            DisplayUnits.PercentOf
        );
    }

    private static string Count(decimal? number) => number?.ToString("N0", CultureInfo.InvariantCulture) ?? "–";

    // Sums below zero, of noise or by a calibration, are kept for adding up and printed as 0.
    private static string[] Row(string name, StatedAmount amount, Func<decimal?, string> format)
    {
        var printed = new StatedAmount(AtLeast0(amount.Before), AtLeast0(amount.After));
        return [name, format(printed.Before), format(printed.After), Signed(printed.Change, format)];

        static decimal? AtLeast0(decimal? value) => value < 0 ? 0 : value;
    }

    // A change too small for the shown decimals keeps its sign; no change is "none".
    private static string Signed(decimal? change, Func<decimal?, string> format) =>
        change switch
        {
            null => format(null),
            0 => "none",
            > 0 => $"+{format(change)}",
            _ => $"−{format(-change)}",
        };

    private static string Text(FormattableString text) => text.ToString(CultureInfo.InvariantCulture);
}
