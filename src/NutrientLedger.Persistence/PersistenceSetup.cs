using JasperFx.Events.Daemon;
using Marten;
using Microsoft.Extensions.DependencyInjection;
using Microsoft.Extensions.DependencyInjection.Extensions;
using Microsoft.Extensions.Logging;
using Npgsql;
using NutrientLedger.Persistence.Appending;
using NutrientLedger.Persistence.Configuration;
using NutrientLedger.Persistence.Database;
using NutrientLedger.Persistence.DeadLetters;
using NutrientLedger.Persistence.Events;
using NutrientLedger.Persistence.Gaps;
using NutrientLedger.Persistence.Hubs;
using NutrientLedger.Persistence.Projections;
using NutrientLedger.Persistence.Queries;
using NutrientLedger.Persistence.Rebuild;
using NutrientLedger.Persistence.Seals;
using NutrientLedger.Persistence.Statements;
using NutrientLedger.Persistence.Verification;

namespace NutrientLedger.Persistence;

/// <summary>Adds the persistence services to a host.</summary>
public static class PersistenceSetup
{
    private const int ConnectSecondsMax = 5;

    /// <summary>Why a connection string cannot be read, or null.</summary>
    public static string? ConnectionStringError(string connectionString)
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
    /// The connection string, with a shorter wait for a connection than the library's own 15 s. A server that hangs is
    /// waited for twice: for its answer, and for a connection on which the command is cancelled.
    /// </summary>
    private static NpgsqlConnectionStringBuilder WithLimits(string connectionString)
    {
        var settings = new NpgsqlConnectionStringBuilder(connectionString);
        if (settings.Timeout == new NpgsqlConnectionStringBuilder().Timeout)
            settings.Timeout = ConnectSecondsMax;
        return settings;
    }

    /// <summary>
    /// Adds the journal writer, configuration store, readers, feed and (if asked for) the projection that keeps ledgers
    /// current. The schemas are made as the host starts. Without a host, run <see cref="SchemaMigration"/> first.
    /// </summary>
    public static IServiceCollection AddPersistence(
        this IServiceCollection services,
        string connectionString,
        bool keepsLedgersCurrent
    )
    {
        var settings = WithLimits(connectionString);
        var self = keepsLedgersCurrent ? HubIdentity.Create(settings.ApplicationName) : HubIdentity.None;
        if (keepsLedgersCurrent)
            settings.ApplicationName = self.Name;
        services.AddSingleton(self);
        services.AddSingleton(_ => NpgsqlDataSource.Create(settings.ConnectionString));
        services.TryAddSingleton<DatabaseOutage>();
        services.AddSingleton<SchemaMigration>();
        services.AddHostedService(provider => provider.GetRequiredService<SchemaMigration>());
        var marten = services
            .AddMarten(provider =>
            {
                var options = new StoreOptions();
                var source = provider.GetRequiredService<NpgsqlDataSource>();
                MartenSetup.Configure(options, source, provider.GetRequiredService<TimeProvider>());
                if (keepsLedgersCurrent)
                    MartenSetup.AddLedgerProjection(
                        options,
                        source,
                        provider.GetRequiredService<PostingTurn>(),
                        provider.GetRequiredService<PostingMeter>(),
                        provider.GetRequiredService<PostingBeat>(),
                        provider.GetRequiredService<ILogger<LedgerProjection>>()
                    );
                return options;
            })
            .UseLightweightSessions();
        services.AddSingleton<PostingBeat>();
        // Where messages arrive, half of the processors is left to them.
        services.AddSingleton(provider => new JournalPosting(
            provider.GetRequiredService<NpgsqlDataSource>(),
            PostingMemory.Default,
            Math.Clamp(Environment.ProcessorCount / (keepsLedgersCurrent ? 2 : 1), 1, 8)
        ));
        services.AddSingleton<ConfigurationCache>();
        services.AddSingleton<ConfigurationStore>();
        services.AddSingleton<SessionLocks>();
        services.AddSingleton(provider => new LedgerReader(
            provider.GetRequiredService<NpgsqlDataSource>(),
            provider.GetRequiredService<JournalPosting>()
        ));
        services.AddSingleton(provider => new LedgerAudit(
            provider.GetRequiredService<NpgsqlDataSource>(),
            provider.GetRequiredService<JournalPosting>()
        ));
        services.AddSingleton<PitReadings>();
        services.AddSingleton<PitLevelReader>();
        services.AddSingleton(provider => new LedgerRebuild(
            provider.GetRequiredService<NpgsqlDataSource>(),
            provider.GetRequiredService<JournalPosting>()
        ));
        services.AddSingleton<JournalExport>();
        services.AddSingleton<SampleReader>();
        services.AddSingleton<DeviceReader>();
        services.AddSingleton<OpenTransactions>();
        services.TryAddSingleton<DeadLetterLimits>();
        services.AddSingleton<DeadLetterQueue>();
        services.AddSingleton<QuestionableTimeReader>();
        services.AddMetrics();
        services.AddSingleton<GapReporter>();
        services.AddSingleton<StatementReader>();
        services.AddSingleton<SealReader>();
        services.AddSingleton<FindingReader>();
        services.AddSingleton<JournalWriter>();
        services.AddSingleton<IJournal>(provider => provider.GetRequiredService<JournalWriter>());
        if (!keepsLedgersCurrent)
            return services;
        services.AddHostedService<HubBeat>();
        services.AddHostedService<GapCountService>();
        marten.AddAsyncDaemon(DaemonMode.HotCold);
        services.AddSingleton<PostingMeter>();
        services.AddSingleton<PostingLagMonitor>();
        services.AddHostedService(provider => provider.GetRequiredService<PostingLagMonitor>());
        services.AddSingleton<PostingTurn>();
        services.AddSingleton<FailingCorrections>();
        services.AddHostedService<PostingResumption>();
        services.AddHostedService<CorrectionService>();
        services.AddHostedService<StatementService>();
        services.AddSingleton<SealWriter>();
        services.AddHostedService<SealService>();
        services.AddSingleton<LedgerFeed>();
        services.AddHostedService(provider => provider.GetRequiredService<LedgerFeed>());
        return services;
    }
}
