using Microsoft.AspNetCore.Connections;
using NutrientLedger.Demo;
using NutrientLedger.Persistence.Postgres;
using Spectre.Console;
using Spectre.Console.Cli;

namespace NutrientLedger.Hub.Startup;

/// <summary>Says in plain words why a command ended early; a stack only for mistakes of our own.</summary>
public static class StartupErrors
{
    /// <summary>
    /// Prints the trouble and gives the exit code: 1 for what the user can mend, 2 for a mistake in the hub.
    /// </summary>
    public static int Explain(Exception error)
    {
        switch (error)
        {
            case OperationCanceledException:
                return 1;
            case HubStartException or DemoStreamsException or PrivatePostgresException or CommandAppException:
                AnsiConsole.MarkupLineInterpolated($"[red]{error.Message}[/]");
                return 1;
            case IOException { InnerException: AddressInUseException }:
                AnsiConsole.MarkupLineInterpolated(
                    $"[red]{error.Message} Start again, or choose other ports with --http-port and --mqtt-port (0 for any free port).[/]"
                );
                return 1;
            case System.Data.Common.DbException:
                AnsiConsole.MarkupLineInterpolated(
                    $"[red]Database error: {error.Message}. Check the connection string and that the server is running.[/]"
                );
                return 1;
            default:
                AnsiConsole.WriteException(error);
                return 2;
        }
    }
}
