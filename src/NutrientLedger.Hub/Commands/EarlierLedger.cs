using System.Text.Json;
using NutrientLedger.Hub.Playback;
using NutrientLedger.Office.Asking;
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
                        Fields = EarlierBook.Fields(register, ledger),
                    },
                    JsonSerializerOptions.Web
                )
            );
            return;
        }
        AnsiConsole.MarkupLineInterpolated($"As the ledger stood at journal position {ledger.Position}:");
        SeasonSummary.Print(AnsiConsole.Console, register, ledger, units);
    }
}
