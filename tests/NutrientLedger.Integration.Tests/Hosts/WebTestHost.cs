using System.Net;
using Microsoft.AspNetCore.Builder;
using Microsoft.AspNetCore.Hosting;
using Microsoft.Extensions.DependencyInjection;
using Microsoft.Extensions.Hosting;
using Microsoft.Extensions.Logging;
using NutrientLedger.Integration.Tests.Fixtures;
using NutrientLedger.Persistence;
using NutrientLedger.Persistence.Appending;
using NutrientLedger.Persistence.Configuration;
using NutrientLedger.Persistence.Messages;
using NutrientLedger.Persistence.Queries;
using NutrientLedger.Persistence.Verification;
using NutrientLedger.Web;
using NutrientLedger.Web.Commands;
using NutrientLedger.Web.Live;
using NutrientLedger.Web.Queries;

namespace NutrientLedger.Integration.Tests.Hosts;

/// <summary>Web with Persistence on the test class's own database, listening on a free loopback port.</summary>
public sealed class WebTestHost : IAsyncLifetime
{
    /// <summary>Far longer than any step takes on a busy machine; reached only by a failing test.</summary>
    public static readonly TimeSpan Patience = TimeSpan.FromMinutes(4);

    private WebApplication? app;

    public TestDatabase Database { get; } = new();

    public HttpClient Client { get; private set; } = new();

    /// <summary>The time on the farms; the machine's time when null.</summary>
    public DateTimeOffset? FarmTime { get; set; }

    /// <summary>False where there is no database and the tests are skipped.</summary>
    public bool IsRunning => app is not null;

    public FarmImport Import => Service<FarmImport>();

    public LabImport Lab => Service<LabImport>();

    public LedgerReader Ledgers => Service<LedgerReader>();

    /// <summary>What the live page shows.</summary>
    internal SheetQuery Sheets => Service<SheetQuery>();

    public ConfigurationStore Configurations => Service<ConfigurationStore>();

    /// <summary>Checks a farm's journal, ledger and statements as the command verify does.</summary>
    internal Task<AuditReport> AuditAsync(string farm) => Service<LedgerAudit>().RunAsync(farm, CancellationToken.None);

    public async Task InitializeAsync()
    {
        await Database.InitializeAsync();
        if (Database.ConnectionString.Length > 0)
            await StartAsync(port: 0);
    }

    /// <summary>Listens on a port (0 takes any free one) like a freshly started hub.</summary>
    public async Task StartAsync(int port)
    {
        var builder = WebApplication.CreateSlimBuilder();
        builder.Logging.SetMinimumLevel(LogLevel.Warning);
        builder.Services.AddPersistence(Database.ConnectionString, keepsLedgersCurrent: true);
        builder.Services.AddSingleton<FarmClock>(new SetClock(this));
        builder.Services.AddWeb();
        // A stop at the host's own timeout would not be a stop by itself, so the timeout is longer than the test's.
        builder.Services.Configure<HostOptions>(host => host.ShutdownTimeout = 2 * Patience);
        builder.WebHost.ConfigureKestrel(kestrel => kestrel.Listen(IPAddress.Loopback, port));
        app = builder.Build();
        app.MapWeb();
        await app.StartAsync();
        Client = new() { BaseAddress = new(app.Urls.Single()) };
    }

    public async Task StopAsync()
    {
        Client.Dispose();
        if (app is null)
            return;
        await app.StopAsync();
        await app.DisposeAsync();
        app = null;
    }

    public async Task DisposeAsync()
    {
        await StopAsync();
        await Database.DisposeAsync();
    }

    /// <summary>Commits batches as they are and returns their results.</summary>
    public Task<IReadOnlyList<AppendResult>> AppendAsync(IReadOnlyList<DecodedMessage> batches) =>
        Service<IJournal>().AppendAsync(batches, [], CancellationToken.None);

    /// <summary>Commits a batch and waits until the ledger holds it. Returns the journal position reached.</summary>
    public async Task<long> PostAsync(DecodedMessage batch)
    {
        var results = await Service<IJournal>().AppendAsync([batch], [], CancellationToken.None);
        Assert.IsType<AppendResult.Stored>(Assert.Single(results));
        return await PostedAsync();
    }

    /// <summary>Stores a message as a dead letter.</summary>
    public Task RejectAsync(RejectedMessage message) =>
        Service<IJournal>().AppendAsync([], [message], CancellationToken.None);

    /// <summary>Waits until everything in the journal is posted.</summary>
    public async Task<long> PostedAsync()
    {
        using var limit = new CancellationTokenSource(Patience);
        while (true)
        {
            var (journal, posted) = await Service<DeviceReader>().PositionsAsync(limit.Token);
            if (posted >= journal)
                return posted;
            await Task.Delay(20, limit.Token);
        }
    }

    private T Service<T>()
        where T : notnull => app!.Services.GetRequiredService<T>();

    private sealed class SetClock(WebTestHost web) : FarmClock(TimeProvider.System)
    {
        public override DateTimeOffset Now => web.FarmTime ?? base.Now;
    }
}
