using System.Globalization;
using NutrientLedger.Persistence.Database;
using Serilog;
using Serilog.Events;

namespace NutrientLedger.Hub.Startup;

/// <summary>What the hub writes to the console.</summary>
internal static class HubLog
{
    /// <summary>
    /// Writes the rooms' lines from a level on, and warnings of libraries. What is explained elsewhere is left out.
    /// </summary>
    public static void Configure(LoggerConfiguration log, LogEventLevel minimumLevel) =>
        log
            .MinimumLevel.Is(minimumLevel)
            .MinimumLevel.Override("Microsoft", LogEventLevel.Warning)
            .MinimumLevel.Override("Marten", LogEventLevel.Warning)
            .MinimumLevel.Override("JasperFx", LogEventLevel.Warning)
            // Who asks for health gets the answer. It is no line for each question.
            .MinimumLevel.Override("Microsoft.Extensions.Diagnostics.HealthChecks", LogEventLevel.Fatal)
            .Filter.ByExcluding(IsExplainedElsewhere)
            .WriteTo.Console(
                formatProvider: CultureInfo.InvariantCulture,
                outputTemplate: "{Timestamp:HH:mm:ss} {Level:u3} {Message:lj}{NewLine}{Exception}"
            );

    private static bool IsExplainedElsewhere(LogEvent line) =>
        // The same error is explained when the command ends.
        line.MessageTemplate.Text == "Hosting failed to start"
        // Marten's LISTEN connection outlives the host and logs the server's stop.
        || line.MessageTemplate.Text.StartsWith("PostgreSQL LISTEN connection error", StringComparison.Ordinal)
        // An outage is logged once, not by every library that meets it. A page whose farm has moved on is posted again.
        || (line.Exception is { } error && (DatabaseErrors.IsOutage(error) || DatabaseErrors.IsMovedRow(error)));
}
