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
using NutrientLedger.Web;
using NutrientLedger.Web.Commands;
using NutrientLedger.Web.Queries;

namespace NutrientLedger.Integration.Tests.Hosts;

/// <summary>
/// An office with its store on a database of the test class's own, listening on a free loopback port.
/// </summary>
public sealed class WebTestHost : IAsyncLifetime
{
    /// <summary>Far longer than anything takes on a busy machine; reached only by a test that fails.</summary>
    public static readonly TimeSpan Patience = TimeSpan.FromMinutes(4);

    private WebApplication? app;

    public TestDatabase Database { get; } = new();

    public HttpClient Client { get; private set; } = new();

    /// <summary>What time it is on the farms; the machine's time when nothing is set.</summary>
    public DateTimeOffset? FarmTime { get; set; }

    /// <summary>False where there is no database and the tests are skipped.</summary>
    public bool IsRunning => app is not null;

    public FarmImport Import => Service<FarmImport>();

    public LabImport Lab => Service<LabImport>();

    public LedgerReader Ledgers => Service<LedgerReader>();

    public ConfigurationStore Registers => Service<ConfigurationStore>();

    public async Task InitializeAsync()
    {
        await Database.InitializeAsync();
        if (Database.ConnectionString.Length > 0)
            await StartAsync(port: 0);
    }

    /// <summary>Listens on a port (0 takes any free one) as a freshly started hub would.</summary>
    public async Task StartAsync(int port)
    {
        var builder = WebApplication.CreateSlimBuilder();
        builder.Logging.SetMinimumLevel(LogLevel.Warning);
        builder.Services.AddPersistence(Database.ConnectionString, keepsLedgersCurrent: true);
        builder.Services.AddSingleton<FarmClock>(new SetClock(this));
        builder.Services.AddWeb();
        // What stops only because a host loses patience has not stopped by itself.
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

    /// <summary>Commits packs as they are and gives their fates.</summary>
    public Task<IReadOnlyList<AppendResult>> AppendAsync(IReadOnlyList<DecodedMessage> packs) =>
        Service<IJournal>().AppendAsync(packs, [], CancellationToken.None);

    /// <summary>Commits a pack and waits until the ledger holds it; gives the journal position reached.</summary>
    public async Task<long> PostAsync(DecodedMessage pack)
    {
        var fates = await Service<IJournal>().AppendAsync([pack], [], CancellationToken.None);
        Assert.IsType<AppendResult.Stored>(Assert.Single(fates));
        return await PostedAsync();
    }

    /// <summary>Keeps a message in the refused list.</summary>
    public Task RefuseAsync(RejectedMessage message) =>
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

    private sealed class SetClock(WebTestHost office) : FarmClock(TimeProvider.System)
    {
        public override DateTimeOffset Now => office.FarmTime ?? base.Now;
    }
}
