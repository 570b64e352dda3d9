using NutrientLedger.Hub.Commands;
using NutrientLedger.Hub.Startup;
using Spectre.Console;
using Spectre.Console.Cli;

// A command that a hanging database never answers blocks a thread for seconds while it is cancelled. Health must not
// wait for it.
ThreadPool.GetMinThreads(out var workers, out var ports);
ThreadPool.SetMinThreads(Math.Max(workers, 16), ports);

// Redirected output has no width of its own, and a narrow one would break the tables.
if (Console.IsOutputRedirected)
    AnsiConsole.Profile.Width = 160;

var app = new CommandApp();
app.Configure(hub =>
{
    hub.SetApplicationName("nutrient-ledger");
    // Otherwise a misspelt option would be ignored silently.
    hub.UseStrictParsing();
    hub.SetInterceptor(new OptionValues());
    hub.SetExceptionHandler((error, _) => StartupErrors.Explain(error));
    hub.AddCommand<RunCommand>("run")
        .WithDescription("Runs the hub: receives sensor messages, keeps the ledgers, serves the page.")
        .WithExample("run", "--http-port", "5080", "--mqtt-port", "1883")
        .WithExample("run", "--broker", "127.0.0.1:1884", "--farms", "larch-hollow");
    hub.AddCommand<DemoCommand>("demo")
        .WithDescription("Runs the hub with an invented farm and plays its season through MQTT.")
        .WithExample("demo", "--speed", "300")
        .WithExample("demo", "--once", "--fresh");
    hub.AddBranch(
        "import",
        import =>
        {
            import.SetDescription("Imports farm files, hand records and laboratory reports.");
            import
                .AddCommand<ImportFarmCommand>("farm")
                .WithDescription("Imports a farm file with its GeoJSON fields. Repeats are ignored.")
                .WithExample("import", "farm", "demo-streams/larch-hollow.json")
                .WithExample("import", "farm", "my-farm.json", "--withdraw", "wrong machine", "--by", "Ada Ash");
            import
                .AddCommand<ImportRecordsCommand>("records")
                .WithDescription("Imports hand records of pits, all or none. Repeats are ignored.")
                .WithExample("import", "records", "records.json");
            import
                .AddCommand<ImportLabCommand>("lab")
                .WithDescription("Imports laboratory reports, all or none. Repeats are ignored.")
                .WithExample("import", "lab", "larch-hollow", "reports.csv");
        }
    );
    hub.AddCommand<ReconcileCommand>("reconcile")
        .WithDescription("Reconciles a pit day by day and names suspected gross errors.")
        .WithExample("reconcile", "larch-hollow", "--pit", "north-basin", "--from", "2026-04-20", "--to", "2026-04-24");
    hub.AddCommand<VerifyCommand>("verify")
        .WithDescription("Checks the journal's chain hashes and compares the ledger with a rebuild.")
        .WithExample("verify", "larch-hollow", "--demo");
    hub.AddCommand<ReplayCommand>("replay")
        .WithDescription("Rebuilds a farm's ledger and compares it with the live one, or shows an earlier state.")
        .WithExample("replay", "larch-hollow", "--demo")
        .WithExample("replay", "larch-hollow", "--as-of", "2026-05-01T12:00Z");
    hub.AddCommand<ExportCommand>("export")
        .WithDescription("Writes the events of a farm as JSON, one per line.")
        .WithExample("export", "larch-hollow", "--kind", "sensor_mounted", "--demo");
    hub.AddCommand<ExplainCommand>("explain")
        .WithDescription("Shows the source of a coefficient, lists factor sets, checks your own set.")
        .WithExample("explain", "ammonium-retained/injected")
        .WithExample("explain", "--set", "alberta-2007")
        .WithExample("explain", "--file", "our-factors.json");
});
return await app.RunAsync(args);
