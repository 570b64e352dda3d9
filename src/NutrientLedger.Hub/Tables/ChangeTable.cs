using System.Globalization;
using NutrientLedger.Agronomy.Units.Chemistry;
using NutrientLedger.Web.Contracts.Fields;
using NutrientLedger.Web.Contracts.Sampling;
using Spectre.Console;

namespace NutrientLedger.Hub.Tables;

/// <summary>
/// A table of what a correction changes: one row per field, season and changed amount, all pits together.
/// </summary>
internal static class ChangeTable
{
    private static readonly (string Name, Func<ElementalResponse, double> Kilograms)[] Nutrients =
    [
        ("total N", amounts => amounts.TotalNitrogenKilograms),
        ("ammonium N", amounts => amounts.AmmoniumNitrogenKilograms),
        ("P2O5", amounts => amounts.PhosphorusKilograms * Oxides.P2O5PerPhosphorus),
        ("K2O", amounts => amounts.PotassiumKilograms * Oxides.K2OPerPotassium),
    ];

    public static Table Of(string title, IEnumerable<ChangeResponse> changes, SummaryUnits units)
    {
        var table = new Table { Title = new(Markup.Escape(title)) };
        foreach (var name in new[] { "field", "season", "amount", "before", "after", "change" })
            table.AddColumn(new TableColumn(name).NoWrap());
        foreach (var field in changes.GroupBy(change => (change.Field, change.Season)))
        {
            ChangeResponse[] pits = [.. field];
            foreach (var (name, kilograms) in Nutrients)
                Row(
                    field.Key,
                    $"{name}, {units.Mass}",
                    pits.Sum(pit => kilograms(pit.Before)) * units.MassPerKilogram,
                    pits.Sum(pit => kilograms(pit.After)) * units.MassPerKilogram,
                    "N1"
                );
            Row(
                field.Key,
                "on flagged readings, % of volume",
                Flagged(pits, pit => pit.FlaggedShareBefore),
                Flagged(pits, pit => pit.FlaggedShareAfter),
                "N1"
            );
            // Means cannot be added, so each pit has its own row.
            foreach (var pit in pits)
                if (pit is { Before.DryMatterFraction: { } before, After.DryMatterFraction: { } after })
                    Row(
                        field.Key,
                        pits.Length == 1 ? "dry matter, %" : $"dry matter from {pit.Pit ?? "no known pit"}, %",
                        before * 100,
                        after * 100,
                        "N2"
                    );
        }
        return table;

        void Row((string? Field, int Season) of, string amount, double before, double after, string form)
        {
            if (before == after)
                return;
            var change = (after - before).ToString(form, CultureInfo.InvariantCulture);
            table.AddRow(
                new Text(of.Field ?? "outside all fields"),
                new Text(of.Season.ToString(CultureInfo.InvariantCulture)),
                new Text(amount),
                Number(before.ToString(form, CultureInfo.InvariantCulture)),
                Number(after.ToString(form, CultureInfo.InvariantCulture)),
                Number(after > before ? $"+{change}" : change)
            );
        }
    }

    /// <summary>The flagged share of all pits' volume, in percent.</summary>
    private static double Flagged(ChangeResponse[] pits, Func<ChangeResponse, double> share)
    {
        var volume = pits.Sum(pit => pit.VolumeCubicMetres);
        return volume > 0 ? pits.Sum(pit => share(pit) * pit.VolumeCubicMetres) / volume * 100 : 0;
    }

    private static Text Number(string text) => new(text) { Justification = Justify.Right };
}
