using JasperFx.Events.Daemon;
using Marten;
using Microsoft.Extensions.DependencyInjection;
using Microsoft.Extensions.DependencyInjection.Extensions;
using Npgsql;

namespace NutrientLedger.Store;

/// <summary>Puts the store into a host.</summary>
public static class StoreSetup
{
    /// <summary>Why a connection string cannot be read, or nothing.</summary>
    public static string? FaultIn(string connectionString)
    {
        try
        {
            return new NpgsqlConnectionStringBuilder(connectionString).Host is null ? "it names no host" : null;
        }
        catch (Exception e) when (e is ArgumentException or FormatException)
        {
            return e.Message.TrimEnd('.');
        }
    }

    /// <summary>
    /// Journal writer, register store, readers, feed and (if asked for) the projection that keeps ledgers current. The database is
    /// migrated as the host starts; without a host, run <see cref="StoreMigration"/> first.
    /// </summary>
    public static IServiceCollection AddStore(
        this IServiceCollection services,
        string connectionString,
        bool keepsLedgersCurrent
    )
    {
        services.AddSingleton(_ => NpgsqlDataSource.Create(connectionString));
        services.AddSingleton<StoreMigration>();
        services.AddHostedService(provider => provider.GetRequiredService<StoreMigration>());
        var marten = services
            .AddMarten(provider =>
            {
                var options = new StoreOptions();
                var source = provider.GetRequiredService<NpgsqlDataSource>();
                JournalOptions.Configure(options, source, provider.GetRequiredService<TimeProvider>());
                if (keepsLedgersCurrent)
                    JournalOptions.KeepLedgersCurrent(
                        options,
                        source,
                        provider.GetRequiredService<PostingTurn>(),
                        provider.GetRequiredService<PostingMeter>()
                    );
                return options;
            })
            .UseLightweightSessions();
        services.AddSingleton<RightOfWay>();
        // Where messages arrive, half of the processors is left to them.
        services.AddSingleton(_ => new BesideThreads(Environment.ProcessorCount / (keepsLedgersCurrent ? 2 : 1)));
        services.AddSingleton<RegisterStore>();
        services.AddSingleton<SessionLocks>();
        services.AddSingleton<LedgerReader>();
        services.AddSingleton<LedgerAudit>();
        services.AddSingleton<PitReadings>();
        services.AddSingleton<LedgerReplay>();
        services.AddSingleton<JournalExport>();
        services.AddSingleton<SampleReader>();
        services.AddSingleton<DeviceReader>();
        services.AddSingleton<OpenTransactions>();
        services.TryAddSingleton<RefusedLimits>();
        services.AddSingleton<RefusedList>();
        services.AddSingleton<DoubtReader>();
        services.AddMetrics();
        services.AddSingleton<GapTelling>();
        services.AddSingleton<StatementReader>();
        services.AddSingleton<FindingReader>();
        services.AddSingleton<JournalWriter>();
        services.AddSingleton<IJournal>(provider => provider.GetRequiredService<JournalWriter>());
        if (!keepsLedgersCurrent)
            return services;
        services.AddHostedService<OldShapes>();
        services.AddHostedService<GapCounting>();
        marten.AddAsyncDaemon(DaemonMode.HotCold);
        services.AddSingleton<PostingMeter>();
        services.AddSingleton<PostingWatch>();
        services.AddHostedService(provider => provider.GetRequiredService<PostingWatch>());
        services.AddSingleton<PostingTurn>();
        services.AddHostedService<Correction>();
        services.AddHostedService<StatementKeeper>();
        services.AddSingleton<LedgerFeed>();
        services.AddHostedService(provider => provider.GetRequiredService<LedgerFeed>());
        return services;
    }
}
