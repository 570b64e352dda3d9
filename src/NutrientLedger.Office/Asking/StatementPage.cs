using System.Globalization;
using System.Net;
using System.Text;
using NutrientLedger.Ledger;

namespace NutrientLedger.Office.Asking;

/// <summary>
/// A statement as a page of paper: who corrected what and why, then a table for each field with before, change and after.
/// </summary>
internal static class StatementPage
{
    private const string Caution =
        "These figures inform; local code and the farm's nutrient plan prevail, and a licensed or certified planner decides.";

    public static string Of(Statement statement, DateTimeOffset madeAt, StatementUnits units)
    {
        var cause = statement.Cause;
        var page = new StringBuilder();
        page.Append(
            $"""
            <!doctype html>
            <html lang="en"><head><meta charset="utf-8" /><meta name="viewport" content="width=device-width, initial-scale=1" />
            <title>{Safe($"Statement {cause.Position}, {statement.Farm}")}</title>
            <link rel="icon" href="/page/mark.svg" type="image/svg+xml" />
            <link rel="stylesheet" href="/page/paper.css" /><link rel="stylesheet" href="/page/account.css" />
            <link rel="stylesheet" href="/page/narrow.css" /><link rel="stylesheet" href="/page/statement.css" />
            </head><body><header class="masthead"><div class="title"><p class="kicker">Nutrient ledger · {Safe(
                statement.Farm
            )}</p>
            <h1>What a correction changed</h1></div></header><main>
            <p>{Safe(cause.What)}</p><dl class="facts">

            """
        );
        Fact("Decided by", cause.By ?? "not recorded");
        Fact("Why", cause.Why ?? "not recorded");
        Fact("Laboratory reports", cause.LabReports.Length > 0 ? string.Join(", ", cause.LabReports) : "none named");
        Fact("Recorded", Moment(cause.RecordedAt));
        Fact("Journal position", cause.Position.ToString(CultureInfo.InvariantCulture));
        Fact("Statement made", Moment(madeAt));
        page.Append(CultureInfo.InvariantCulture, $"</dl><p><strong>{Safe(statement.Summary)}</strong></p>\n");
        foreach (var field in statement.Fields)
            page.Append(FieldOf(field, units));
        foreach (var pit in statement.Levels)
            page.Append(
                CultureInfo.InvariantCulture,
                $"<p>Pit {Safe(pit.Pit)}: levels of {pit.Hours} hours changed.</p>\n"
            );
        page.Append(
            $"""
            </main><footer><p>{Caution}</p><p>Counted: everything in the journal up to this correction. Rounded for reading;
            the exact figures are in the statement's JSON.</p></footer></body></html>

            """
        );
        return page.ToString();

        void Fact(string name, string text) =>
            page.Append(CultureInfo.InvariantCulture, $"<div><dt>{name}</dt><dd>{Safe(text)}</dd></div>\n");
    }

    private static string FieldOf(StatedField field, StatementUnits units)
    {
        var name = field.Field is null ? "Outside all fields" : $"{field.Name ?? field.Field} ({field.Field})";
        var part = new StringBuilder();
        part.Append(CultureInfo.InvariantCulture, $"<section><h2>{Safe(name)}, season {field.Season}</h2>\n");
        part.Append(TableOf("All pits", field.Amounts, field.Available, units));
        // One pit with the field's own figures would only say them twice.
        if (field.Pits.Length != 1 || field.Pits[0].Amounts != field.Amounts)
            foreach (var pit in field.Pits)
                part.Append(
                    TableOf(pit.Pit is { } id ? $"From pit {id}" : "From no recorded pit", pit.Amounts, null, units)
                );
        return part.Append("</section>\n").ToString();
    }

    private static string TableOf(
        string title,
        StatedAmounts amounts,
        StatedAvailability? available,
        StatementUnits units
    )
    {
        var table = new StringBuilder();
        table.Append(
            CultureInfo.InvariantCulture,
            $"<table class=\"statement\"><caption>{Safe(title)}</caption><thead><tr><th>amount</th><th>before</th><th>change</th><th>after</th></tr></thead><tbody>\n"
        );
        Row($"volume, {units.Volume}", amounts.VolumeCubicMetres, units.VolumeOf);
        if (amounts.DisengagedCubicMetres is not { Before: 0, After: 0 })
            Row($"run while not engaged, {units.Volume}", amounts.DisengagedCubicMetres, units.VolumeOf);
        if (amounts.NotPlacedCubicMetres is not { Before: 0, After: 0 })
            Row($"metered, not placed, {units.Volume}", amounts.NotPlacedCubicMetres, units.VolumeOf);
        Row($"total N, {units.Mass}", amounts.TotalNitrogenKilograms, units.MassOf);
        Row($"ammonium N, {units.Mass}", amounts.AmmoniumNitrogenKilograms, units.MassOf);
        Row($"P2O5, {units.Mass}", amounts.P2O5Kilograms, units.MassOf);
        Row($"K2O, {units.Mass}", amounts.K2OKilograms, units.MassOf);
        if (available is not null)
            Row($"available N in this season, {units.Mass}", available.NitrogenKilograms, units.MassOf);
        Row("dry matter, %", amounts.DryMatterPercent, StatementUnits.PercentOf);
        Row(
            "on flagged readings, % of volume",
            new(amounts.FlaggedShareOfVolume.Before * 100, amounts.FlaggedShareOfVolume.After * 100),
            StatementUnits.PercentOf
        );
        table.Append("</tbody></table>\n");
        if (amounts.AtLeast)
            table.Append("<p class=\"note\">At least: part of the volume came without a content.</p>\n");
        if (available is not null)
            table.Append(
                CultureInfo.InvariantCulture,
                $"<p class=\"note\">Available N by the set {Safe(available.FactorSet)}{Safe(available.Source is { } source ? $": {source}" : "")}. {Safe(available.ReasonAfter ?? available.ReasonBefore ?? "")}</p>\n"
            );
        return table.ToString();

        void Row(string name, StatedAmount amount, Func<decimal?, string> say) =>
            table.Append(
                CultureInfo.InvariantCulture,
                $"<tr><th scope=\"row\">{name}</th><td>{say(amount.Before)}</td><td>{say(amount.Change)}</td><td>{say(amount.After)}</td></tr>\n"
            );
    }

    private static string Moment(DateTimeOffset moment) =>
        moment.UtcDateTime.ToString("yyyy-MM-dd HH:mm:ss 'UTC'", CultureInfo.InvariantCulture);

    private static string Safe(string text) => WebUtility.HtmlEncode(text);
}
