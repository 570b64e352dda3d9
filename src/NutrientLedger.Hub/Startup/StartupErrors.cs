using System.Text.RegularExpressions;
using Microsoft.AspNetCore.Connections;
using NutrientLedger.Demo;
using NutrientLedger.Persistence.Postgres;
using Spectre.Console;
using Spectre.Console.Cli;

namespace NutrientLedger.Hub.Startup;

/// <summary>Explains why a command ended early. A stack trace is printed only for defects of the hub.</summary>
internal static partial class StartupErrors
{
    /// <summary>
    /// Prints the error and returns the exit code: 1 for what the user can fix, 2 for a defect of the hub.
    /// </summary>
    public static int Explain(Exception error)
    {
        switch (error)
        {
            case OperationCanceledException:
                return 1;
            case CommandAppException when Unreadable().Match(error.Message) is { Success: true } value:
                AnsiConsole.MarkupLineInterpolated(
                    $"[red]\"{value.Groups[1].Value}\" is not a number. Write digits, for example 5080.[/]"
                );
                return 1;
            case HubStartException or DemoStreamsException or PrivatePostgresException or CommandAppException:
                AnsiConsole.MarkupLineInterpolated($"[red]{error.Message}[/]");
                return 1;
            case IOException { InnerException: AddressInUseException }:
                AnsiConsole.MarkupLineInterpolated(
                    $"[red]{error.Message} Start again, or choose other ports with --http-port and --mqtt-port (0 for any free port).[/]"
                );
                return 1;
            case System.Data.Common.DbException { SqlState: "28000" or "28P01" }:
                AnsiConsole.MarkupLineInterpolated(
                    $"[red]PostgreSQL rejects the account: {error.Message}. Correct Username and Password in the connection string.[/]"
                );
                return 1;
            case System.Data.Common.DbException { SqlState: "3D000" }:
                AnsiConsole.MarkupLineInterpolated(
                    $"[red]{error.Message}. Create it with createdb, or name another database in the connection string.[/]"
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

    /// <summary>How the command-line library reports a number that it cannot read.</summary>
    [GeneratedRegex("^Failed to convert '(.*)' to (?:Nullable|Int|Double)")]
    private static partial Regex Unreadable();
}
