using System.ComponentModel;
using Spectre.Console.Cli;

namespace NutrientLedger.Hub.Startup;

/// <summary>
/// Options of the commands that work on the database of a hub, beside it or while it is stopped; the demo has its own.
/// </summary>
public class BesideSettings : DatabaseSettings
{
    [CommandOption("--demo")]
    [Description("Use the demo's database.")]
    public bool Demo { get; init; }

    protected override bool ReadsUsualFile => !Demo;

    /// <summary>Attaches to the chosen database.</summary>
    public Task<HubDatabase> OpenAsync(CancellationToken cancellationToken) =>
        HubDatabase.OpenAsync(
            ReadConfiguration().Options,
            Demo ? NutrientLedger.Hub.Startup.DemoFolder.Database : HubDatabase.Own,
            cancellationToken
        );
}

/// <summary>The same for one farm.</summary>
public class FarmSettings : BesideSettings
{
    [CommandArgument(0, "<FARM>")]
    [Description("The farm's id.")]
    public required string Farm { get; init; }
}
