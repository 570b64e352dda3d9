using NutrientLedger.Hub;
using NutrientLedger.Hub.Commands;
using Spectre.Console;
using Spectre.Console.Cli;

// A pipe or a file has no width of its own; tables are then as wide as they need.
if (Console.IsOutputRedirected)
    AnsiConsole.Profile.Width = 160;

var app = new CommandApp();
app.Configure(hub =>
{
    hub.SetApplicationName("nutrient-ledger");
    // A misspelt option would otherwise be passed over without a word.
    hub.UseStrictParsing();
    hub.SetExceptionHandler((trouble, _) => StartTrouble.Explain(trouble));
    hub.AddCommand<RunCommand>("run")
        .WithDescription("Takes in sensor messages, keeps the ledgers and serves the page until stopped.")
        .WithExample("run", "--http-port", "5080", "--mqtt-port", "1883")
        .WithExample("run", "--broker", "127.0.0.1:1884", "--farms", "larch-hollow");
    hub.AddCommand<DemoCommand>("demo")
        .WithDescription("Runs the hub with an invented farm whose season is played through MQTT.")
        .WithExample("demo", "--speed", "300")
        .WithExample("demo", "--once", "--fresh");
    hub.AddBranch(
        "import",
        import =>
        {
            import.SetDescription("Brings fields, pits, machines and plans into the journal.");
            import
                .AddCommand<ImportFarmCommand>("farm")
                .WithDescription("Imports a farm file with its GeoJSON fields; importing it again adds nothing.")
                .WithExample("import", "farm", "demo-streams/larch-hollow.json");
            import
                .AddCommand<ImportRecordsCommand>("records")
                .WithDescription("Imports records made by hand at pits; all or nothing, and again adds nothing.")
                .WithExample("import", "records", "records.json");
            import
                .AddCommand<ImportLabCommand>("lab")
                .WithDescription("Imports laboratory reports; all or nothing, and again adds nothing.")
                .WithExample("import", "lab", "larch-hollow", "reports.csv");
        }
    );
    hub.AddCommand<ReconcileCommand>("reconcile")
        .WithDescription("Says day by day whether what left a pit reached the fields, and which instrument is suspect.")
        .WithExample("reconcile", "larch-hollow", "--pit", "north-basin", "--from", "2026-04-20", "--to", "2026-04-24");
    hub.AddCommand<VerifyCommand>("verify")
        .WithDescription("Checks the seals of the journal and every posted figure against one posted anew.")
        .WithExample("verify", "larch-hollow", "--demo");
    hub.AddCommand<ReplayCommand>("replay")
        .WithDescription(
            "Posts a farm's whole ledger anew beside the live one and compares; or says what it said earlier."
        )
        .WithExample("replay", "larch-hollow", "--demo")
        .WithExample("replay", "larch-hollow", "--as-of", "2026-05-01T12:00Z");
    hub.AddCommand<ExportCommand>("export")
        .WithDescription("Writes the entries of a farm's journal as JSON, one a line.")
        .WithExample("export", "larch-hollow", "--kind", "sensor_mounted", "--demo");
    hub.AddCommand<ExplainCommand>("explain")
        .WithDescription("Says where a figure of agronomy comes from; lists factor sets and checks one of your own.")
        .WithExample("explain", "ammonium-retained/injected")
        .WithExample("explain", "--set", "alberta-2007")
        .WithExample("explain", "--file", "our-figures.json");
});
return await app.RunAsync(args);
