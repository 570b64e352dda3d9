using System.Globalization;
using NutrientLedger.Ledger.Configuration;
using NutrientLedger.Ledger.Fields;
using NutrientLedger.Ledger.Lines;
using NutrientLedger.Ledger.Meters;
using NutrientLedger.Persistence.Queries;
using NutrientLedger.Web.Wording;
using Spectre.Console;

namespace NutrientLedger.Hub.Tables;

/// <summary>Prints a season's amounts field by field, in the order of the farm's configuration.</summary>
internal static class SeasonSummary
{
    /// <summary>
    /// Prints one row per field and season with ledger lines, then what belongs to no field. Interruptions are null as
    /// of an earlier position.
    /// </summary>
    public static void Print(
        IAnsiConsole console,
        FarmConfiguration configuration,
        LedgerView ledger,
        IReadOnlyList<MeterInterruption>? interruptions,
        SummaryUnits units
    )
    {
        var table = new Table { Title = new($"{configuration.Farm?.Name}: spread and remaining by field") };
        table.AddColumn(new TableColumn("field").NoWrap());
        table.AddColumn("season");
        foreach (
            var column in new[]
            {
                $"area {units.Area}",
                $"volume {units.Volume}",
                $"N {units.Mass}",
                $"P2O5 {units.Mass}",
                $"K2O {units.Mass}",
                $"N left {units.Mass}",
                $"P2O5 left {units.Mass}",
                $"K2O left {units.Mass}",
            }
        )
            table.AddColumn(new TableColumn(column).RightAligned().NoWrap());
        FieldBalance[] balances =
        [
            .. FieldSeasons(ledger)
                .Select(of => FieldBalance.Of(configuration, ledger.Lines, ledger.Coverage, of.FieldId, of.Season)),
        ];
        string Name(FieldBalance balance) => configuration.Field(balance.FieldId)?.Name ?? balance.FieldId;
        foreach (var balance in balances)
        {
            var plan = balance.Plan;
            table.AddRow(
                Name(balance),
                balance.Season.ToString(CultureInfo.InvariantCulture),
                Number(balance.FieldSquareMetres * units.AreaPerSquareMetre, "N1"),
                Number(balance.Spread.VolumeCubicMetres * units.VolumePerCubicMetre),
                AtLeast(balance.Spread.TotalNitrogen.AtLeast, balance.Spread.TotalNitrogen.Kilograms, units),
                AtLeast(balance.Spread.Phosphorus.AtLeast, balance.Spread.P2O5Kilograms, units),
                AtLeast(balance.Spread.Potassium.AtLeast, balance.Spread.K2OKilograms, units),
                Left(plan?.Nitrogen, units),
                Left(plan?.P2O5, units),
                Left(plan?.K2O, units)
            );
        }
        console.Write(table);
        console.WriteLine("≥ minimum, ≤ maximum: part of the volume has no measured content.");
        foreach (var balance in balances)
        foreach (var note in PlanNotes.Of(balance))
            console.WriteLine($"{Name(balance)}, season {balance.Season}: {note}.");
        foreach (var balance in balances)
            PrintInZones(console, $"{Name(balance)}, season {balance.Season}", balance.Spread, units);
        foreach (var season in ledger.Lines.Keys.Select(key => key.Season).Distinct().Order())
        {
            var outside = FieldBalance.OutsideFields(configuration, ledger.Lines, season);
            PrintOutside(console, outside, season, units);
            PrintInZones(console, $"Season {season}, not on any field", outside, units);
            if (interruptions is not null)
                PrintBetween(console, MeteredBetween.InSeason(interruptions, season), season, units);
        }
        if (interruptions is null)
            console.WriteLine(MeterWording.NotKnown);
        console.WriteLine(
            "For information only. Local code and the farm's nutrient plan prevail; a licensed or certified planner decides."
        );
    }

    /// <summary>The fields and seasons with ledger lines, in order.</summary>
    private static IEnumerable<(string FieldId, int Season)> FieldSeasons(LedgerView ledger) =>
        ledger
            .Lines.Keys.Where(key => key.FieldId.Length > 0)
            .Select(key => (key.FieldId, key.Season))
            .Distinct()
            .Order();

    private static void PrintOutside(IAnsiConsole console, SpreadAmounts outside, int season, SummaryUnits units)
    {
        string Volume(double cubicMetres) => $"{Number(cubicMetres * units.VolumePerCubicMetre)} {units.Volume}";
        console.WriteLine(
            $"Season {season}, not on any field: {Volume(outside.VolumeCubicMetres)} spread outside, {Volume(outside.DisengagedCubicMetres)} pumped with tool raised, {Volume(outside.NotPlacedCubicMetres)} metered with unknown position, amount unknown: {Plural.Of(outside.UnknownIntervals, "interval")}."
        );
    }

    private static void PrintBetween(IAnsiConsole console, MeteredBetween between, int season, SummaryUnits units)
    {
        var atLeast = between.Unknown > 0 ? "at least " : "";
        string[] sentences =
        [
            $"Season {season}, metered between readings, not placed: {atLeast}{Volume(between.CubicMetres)}.",
            .. MeterWording.Of(between, Volume),
        ];
        console.WriteLine(string.Join(' ', sentences));

        string Volume(double cubicMetres) => $"{Number(cubicMetres * units.VolumePerCubicMetre, "N1")} {units.Volume}";
    }

    private static void PrintInZones(IAnsiConsole console, string where, SpreadAmounts spread, SummaryUnits units)
    {
        if (spread.InNoSpreadZones is not { } inside)
            return;
        var volume = Number(inside.VolumeCubicMetres * units.VolumePerCubicMetre, "N1");
        var nitrogen = AtLeast(inside.TotalNitrogen.AtLeast, inside.TotalNitrogen.Kilograms, units);
        var p2o5 = AtLeast(inside.Phosphorus.AtLeast, inside.P2O5Kilograms, units);
        console.WriteLine(
            $"{where}, in no-spread zones: {volume} {units.Volume}, {nitrogen} {units.Mass} N, {p2o5} {units.Mass} P2O5. {NoSpreadZoneWording.Caution}"
        );
    }

    private static string AtLeast(bool atLeast, double kilograms, SummaryUnits units) =>
        (atLeast ? "≥ " : "") + Number(kilograms * units.MassPerKilogram);

    private static string Left(PlannedAmount? planned, SummaryUnits units) =>
        planned switch
        {
            null => "–",
            { RemainingKilograms: { } left } => (planned.AtMost ? "≤ " : "") + Number(left * units.MassPerKilogram),
            _ => "–",
        };

    private static string Number(double? value, string format = "N0") =>
        value?.ToString(format, CultureInfo.InvariantCulture) ?? "–";
}
