using System.Text.Json;
using NutrientLedger.Hub.Playback;
using NutrientLedger.Ledger;
using NutrientLedger.Store;
using Spectre.Console;

namespace NutrientLedger.Hub.Commands;

/// <summary>Prints what a farm's ledger said at an earlier position, as a table or as JSON.</summary>
internal static class EarlierLedger
{
    public static async Task PrintAsync(
        IServiceProvider services,
        string farm,
        long position,
        bool json,
        SummaryUnits units,
        CancellationToken cancellationToken
    )
    {
        var ledger = await services
            .GetRequiredService<LedgerReader>()
            .ReadAsync(farm, season: null, position, cancellationToken);
        var register = (
            await services.GetRequiredService<RegisterStore>().ReadAsync(farm, ledger.Position, cancellationToken)
        ).Register;
        if (register.Farm is null)
            throw new HubStartException(
                $"At position {ledger.Position} the farm \"{farm}\" was not registered yet; ask for a later one."
            );
        if (json)
        {
            await Console.Out.WriteLineAsync(
                JsonSerializer.Serialize(
                    new
                    {
                        farm,
                        ledger.Position,
                        Fields = Fields(register, ledger),
                    },
                    JsonSerializerOptions.Web
                )
            );
            return;
        }
        AnsiConsole.MarkupLineInterpolated($"As the ledger stood at journal position {ledger.Position}:");
        SeasonSummary.Print(AnsiConsole.Console, register, ledger, units);
    }

    private static IEnumerable<object> Fields(Register register, LedgerView ledger) =>
        from of in ledger
            .Lines.Keys.Where(key => key.FieldId.Length > 0)
            .Select(key => (key.FieldId, key.Season))
            .Distinct()
        orderby of.FieldId, of.Season
        let balance = FieldBalance.Of(register, ledger.Lines, ledger.Coverage, of.FieldId, of.Season)
        select new
        {
            Field = of.FieldId,
            of.Season,
            balance.Spread.VolumeCubicMetres,
            NitrogenKilograms = balance.Spread.TotalNitrogen.Kilograms,
            balance.Spread.P2O5Kilograms,
            balance.Spread.K2OKilograms,
            balance.CoveredSquareMetres,
        };
}
