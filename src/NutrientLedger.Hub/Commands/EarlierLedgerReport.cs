using System.Text.Json;
using NutrientLedger.Hub.Startup;
using NutrientLedger.Hub.Tables;
using NutrientLedger.Persistence.Configuration;
using NutrientLedger.Persistence.Queries;
using NutrientLedger.Web.Queries.Fields;
using Spectre.Console;

namespace NutrientLedger.Hub.Commands;

/// <summary>Prints a farm's ledger as of an earlier journal position, as a table or as JSON.</summary>
internal static class EarlierLedgerReport
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
        var configuration = (
            await services.GetRequiredService<ConfigurationStore>().ReadAsync(farm, ledger.Position, cancellationToken)
        ).Configuration;
        if (configuration.Farm is null)
            throw new HubStartException(
                $"Farm \"{farm}\" was not registered at position {ledger.Position}. Use a later one."
            );
        if (json)
        {
            await Console.Out.WriteLineAsync(
                JsonSerializer.Serialize(
                    new
                    {
                        farm,
                        ledger.Position,
                        Fields = EarlierFieldMapping.Fields(configuration, ledger),
                    },
                    JsonSerializerOptions.Web
                )
            );
            return;
        }
        AnsiConsole.MarkupLineInterpolated($"Ledger at journal position {ledger.Position}:");
        SeasonSummary.Print(AnsiConsole.Console, configuration, ledger, interruptions: null, units);
    }
}
