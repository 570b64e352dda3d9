using NutrientLedger.Hub.Commands;
using Spectre.Console.Cli;

var app = new CommandApp();
app.Configure(hub =>
{
    hub.SetApplicationName("nutrient-ledger");
    hub.AddCommand<RunCommand>("run")
        .WithDescription("Takes in sensor messages, keeps the ledgers and serves the page until stopped.")
        .WithExample("run", "--http-port", "5080", "--mqtt-port", "1883");
    hub.AddBranch(
        "import",
        import =>
        {
            import.SetDescription("Brings fields, pits, machines and plans into the journal.");
            import
                .AddCommand<ImportFarmCommand>("farm")
                .WithDescription("Imports a farm file with its GeoJSON fields; importing it again adds nothing.")
                .WithExample("import", "farm", "demo-streams/larch-hollow.json");
        }
    );
});
return await app.RunAsync(args);
