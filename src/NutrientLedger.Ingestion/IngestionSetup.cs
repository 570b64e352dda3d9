using Microsoft.AspNetCore.Server.Kestrel.Core;
using Microsoft.Extensions.DependencyInjection;
using Microsoft.Extensions.DependencyInjection.Extensions;
using Microsoft.Extensions.Hosting;
using Microsoft.Extensions.Logging;
using MQTTnet.AspNetCore;
using NutrientLedger.Ingestion.Broker;
using NutrientLedger.Ingestion.Commit;
using NutrientLedger.Ingestion.ExternalBrokers;
using NutrientLedger.Ingestion.Monitoring;
using NutrientLedger.Ingestion.Queueing;
using NutrientLedger.Ingestion.Watermarks;
using NutrientLedger.Persistence.Database;
using NutrientLedger.Persistence.DeadLetters;
using NutrientLedger.Persistence.Hubs;

namespace NutrientLedger.Ingestion;

/// <summary>Adds the broker and the path from broker to journal to a host.</summary>
public static class IngestionSetup
{
    /// <summary>Adds the queue, group commit, embedded broker and a health check tagged "ready".</summary>
    public static IServiceCollection AddIngestion(this IServiceCollection services, IngestionLimits? limits = null)
    {
        services.AddCommitPipeline(limits);
        services.AddHealthChecks().AddCheck<IngestionHealth>("ingestion", tags: ["ready"]);
        var silenceMax = (limits ?? new()).SilenceMax;
        services.AddHostedMqttServer(options =>
            options.WithoutDefaultEndpoint().WithDefaultCommunicationTimeout(silenceMax)
        );
        services.AddMqttConnectionHandler();
        services.AddSingleton<ReconnectDelays>();
        services.AddSingleton<EmbeddedBroker>();
        services.AddSingleton<IWatermarkPublisher>(provider => provider.GetRequiredService<EmbeddedBroker>());
        services.AddSingleton<IHostedService>(provider => provider.GetRequiredService<EmbeddedBroker>());
        return services;
    }

    /// <summary>Adds the same with an external broker: one worker for each partition and no listening port.</summary>
    public static IServiceCollection AddIngestion(
        this IServiceCollection services,
        ExternalBroker broker,
        IngestionLimits? limits = null
    )
    {
        services.AddCommitPipeline(limits);
        services.AddHealthChecks().AddCheck<ExternalBrokerHealth>("ingestion", tags: ["ready"]);
        services.AddSingleton(broker);
        services.AddSingleton<DroppedMessages>();
        services.AddSingleton<ExternalBrokerService>();
        services.AddSingleton<IWatermarkPublisher>(provider => provider.GetRequiredService<ExternalBrokerService>());
        services.AddHostedService(provider => provider.GetRequiredService<ExternalBrokerService>());
        return services;
    }

    private static void AddCommitPipeline(this IServiceCollection services, IngestionLimits? limits)
    {
        services.TryAddSingleton(TimeProvider.System);
        services.AddSingleton(limits ?? new IngestionLimits());
        services.AddSingleton(provider => provider.GetRequiredService<IngestionLimits>().DeadLetters);
        services.TryAddSingleton<DatabaseOutage>();
        services.AddSingleton<IngestionQueue>();
        services.AddSingleton<IngestionMeter>();
        services.AddSingleton<IngestionStatus>();
        services.AddSingleton<QuotaTracker>();
        services.AddSingleton<GroupCommit>();
        services.AddSingleton<IHubWork>(provider => provider.GetRequiredService<GroupCommit>());
        services.AddSingleton<IMessageRetry, MessageRetry>();
        services.AddSingleton<CommitLoop>();
        services.AddHostedService(provider => provider.GetRequiredService<CommitLoop>());
        services.AddSingleton<PendingWatermarks>();
        services.AddHostedService<WatermarkService>();
        services.AddMetrics();
    }

    /// <summary>Makes a listening port speak MQTT, behind the packet guard.</summary>
    public static void UseEmbeddedBroker(this ListenOptions listen)
    {
        var limits = listen.ApplicationServices.GetRequiredService<IngestionLimits>();
        var log = new IngestionLog(listen.ApplicationServices.GetRequiredService<ILogger<PacketGuard>>());
        listen.Use(next =>
            connection =>
            {
                var address = connection.RemoteEndPoint?.ToString() ?? "an unknown address";
                var guard = new PacketGuard(
                    connection.Transport.Input,
                    limits.PacketBytesMax,
                    reason => log.ConnectionClosed(address, reason)
                );
                connection.Transport = new GuardedConnection(connection.Transport, guard);
                return next(connection);
            }
        );
        listen.UseMqtt();
    }
}
