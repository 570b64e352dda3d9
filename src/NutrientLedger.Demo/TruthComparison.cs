using System.Globalization;
using System.Text.Json;
using NutrientLedger.Ledger.Configuration;
using NutrientLedger.Ledger.Fields;
using NutrientLedger.Ledger.Lines;
using NutrientLedger.Persistence.Queries;
using Spectre.Console;

namespace NutrientLedger.Demo;

/// <summary>
/// Compares the ledger with what the simulation really spread, beside the error expected of the simulated instruments.
/// Only an invented season has a known truth. Until a calibration is adopted, the ledger must show what a wrong sensor
/// read. That is reported as "misread" and is no defect of the ledger.
/// </summary>
public static class TruthComparison
{
    private const string Uncorrected = "expectedUncorrected";

    private static readonly (string Name, string Title, Func<SpreadAmounts, double> Of)[] Quantities =
    [
        ("volumeCubicMetres", "volume", spread => spread.VolumeCubicMetres),
        ("totalNitrogenKilograms", "total N", spread => spread.TotalNitrogen.Kilograms),
        ("ammoniumNitrogenKilograms", "ammonium N", spread => spread.AmmoniumNitrogen.Kilograms),
        ("phosphorusKilograms", "P", spread => spread.Phosphorus.Kilograms),
        ("potassiumKilograms", "K", spread => spread.Potassium.Kilograms),
    ];

    /// <summary>
    /// Prints the comparison. Returns false if a difference exceeds what the simulated errors allow. Wrong sensor
    /// values are allowed only until the calibrations are adopted.
    /// </summary>
    public static bool Print(
        IAnsiConsole console,
        FarmConfiguration configuration,
        LedgerView ledger,
        string streamsFolder,
        bool isCorrected
    )
    {
        using var truth = JsonDocument.Parse(File.ReadAllBytes(Path.Combine(streamsFolder, "truth.json")));
        var table = new Table
        {
            Title = new(
                (isCorrected ? "Corrected by the laboratory and measured" : "Measured")
                    + " against the simulation's truth (in brackets: expected error, one standard deviation)"
            ),
        };
        table.AddColumn(new TableColumn("field").NoWrap());
        table.AddColumn("season");
        foreach (var (_, title, _) in Quantities)
            table.AddColumn(new TableColumn(title).RightAligned().NoWrap());
        table.AddColumn("verdict");
        var (sound, misread) = (true, false);
        foreach (var field in truth.RootElement.GetProperty("fields").EnumerateArray())
        {
            var (fieldId, season) = (field.GetProperty("field").GetString()!, field.GetProperty("season").GetInt32());
            if (fieldId.Length == 0)
                continue;
            var spread = FieldBalance.Of(configuration, ledger.Lines, ledger.Coverage, fieldId, season).Spread;
            var isTrue = IsWithin(field, "expected", spread);
            var isMisread = !isTrue && IsWithin(field, Uncorrected, spread);
            sound &= isTrue || (isMisread && !isCorrected);
            misread |= isMisread;
            table.AddRow([
                Name(configuration, field),
                season.ToString(CultureInfo.InvariantCulture),
                .. Quantities.Select(quantity => Cell(field, quantity.Name, quantity.Of(spread))),
                isTrue ? "within"
                : isMisread ? "misread"
                : "outside",
            ]);
        }
        console.Write(table);
        foreach (var field in truth.RootElement.GetProperty("fields").EnumerateArray())
            if (
                field.GetProperty("field").GetString()!.Length > 0
                && field.GetProperty("unseen").TryGetProperty("misScaledMeter", out var beyond)
            )
                console.WriteLine(
                    string.Create(
                        CultureInfo.InvariantCulture,
                        $"{Name(configuration, field)}: one day has a meter error: expect {-beyond.GetProperty(Quantities[0].Name).GetDouble():N1} m³ too much here. The pit reconciliation above shows it."
                    )
                );
        if (misread)
            console.WriteLine("misread: the sensor was wrong, and no calibration is adopted yet.");
        return sound;
    }

    private static string Name(FarmConfiguration configuration, JsonElement field)
    {
        var fieldId = field.GetProperty("field").GetString()!;
        return configuration.Field(fieldId)?.Name ?? fieldId;
    }

    private static bool IsWithin(JsonElement field, string column, SpreadAmounts spread) =>
        field.TryGetProperty(column, out _)
        && Quantities.All(quantity =>
            Math.Abs(quantity.Of(spread) - Number(field, column, quantity.Name))
            <= Number(field, "allowedDifference", quantity.Name)
        );

    private static string Cell(JsonElement field, string quantity, double measured)
    {
        var expected = Number(field, "expected", quantity);
        if (expected == 0)
            return "not measured";
        var difference = (measured - expected) / expected;
        var error = Number(field, "standardDeviation", quantity) / expected;
        return string.Create(CultureInfo.InvariantCulture, $"{difference:+0.00%;-0.00%} ({error:0.00%})");
    }

    private static double Number(JsonElement field, string of, string quantity) =>
        field.GetProperty(of).GetProperty(quantity).GetDouble();
}
