using System.ComponentModel;
using Spectre.Console.Cli;

namespace NutrientLedger.Hub.Startup;

/// <summary>Options of commands that work on a hub's database, whether the hub is running or stopped.</summary>
internal class ExistingDatabaseSettings : DatabaseSettings
{
    [CommandOption("--demo")]
    [Description("Use the demo's database.")]
    public bool Demo { get; init; }

    protected override bool ReadsDefaultFile => !Demo;

    /// <summary>Opens the chosen database.</summary>
    public Task<HubDatabase> OpenAsync(CancellationToken cancellationToken) =>
        HubDatabase.OpenAsync(
            ReadConfiguration().Options,
            Demo ? NutrientLedger.Hub.Startup.DemoFolder.Database : HubDatabase.Own,
            cancellationToken
        );
}

/// <summary>Options of such commands for one farm.</summary>
internal class FarmSettings : ExistingDatabaseSettings
{
    [CommandArgument(0, "<FARM>")]
    [Description("The farm's id.")]
    public required string Farm { get; init; }
}
