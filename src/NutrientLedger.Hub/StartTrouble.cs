using Microsoft.AspNetCore.Connections;
using NutrientLedger.Store;
using Spectre.Console;
using Spectre.Console.Cli;

namespace NutrientLedger.Hub;

/// <summary>Says in plain words why a command ended early; a stack only for mistakes of our own.</summary>
public static class StartTrouble
{
    /// <summary>Prints the trouble and gives the exit code: 1 for what the user can mend, 2 for a mistake in the hub.</summary>
    public static int Explain(Exception trouble)
    {
        switch (trouble)
        {
            case OperationCanceledException:
                return 1;
            case HubStartException or PrivatePostgresException or CommandAppException:
                AnsiConsole.MarkupLineInterpolated($"[red]{trouble.Message}[/]");
                return 1;
            case IOException { InnerException: AddressInUseException }:
                AnsiConsole.MarkupLineInterpolated(
                    $"[red]{trouble.Message} Start again, or choose other ports with --http-port and --mqtt-port (0 takes any free one).[/]"
                );
                return 1;
            case System.Data.Common.DbException:
                AnsiConsole.MarkupLineInterpolated(
                    $"[red]The database cannot be used: {trouble.Message}. Check the connection string and that the server runs.[/]"
                );
                return 1;
            default:
                AnsiConsole.WriteException(trouble);
                return 2;
        }
    }
}
