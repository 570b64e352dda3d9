using Microsoft.AspNetCore.Server.Kestrel.Core;
using Microsoft.Extensions.DependencyInjection;
using Microsoft.Extensions.DependencyInjection.Extensions;
using Microsoft.Extensions.Hosting;
using Microsoft.Extensions.Logging;
using MQTTnet.AspNetCore;
using NutrientLedger.Intake.Broker;
using NutrientLedger.Intake.Commit;
using NutrientLedger.Intake.Line;
using NutrientLedger.Intake.Marks;
using NutrientLedger.Store;

namespace NutrientLedger.Intake;

/// <summary>Puts the embedded broker and the way from broker to journal into a host.</summary>
public static class IntakeSetup
{
    /// <summary>Queue, group commit, broker and a health check tagged "ready".</summary>
    public static IServiceCollection AddIntake(this IServiceCollection services, IntakeLimits? limits = null)
    {
        services.AddWayToJournal(limits);
        services.AddHealthChecks().AddCheck<IntakeHealth>("intake", tags: ["ready"]);
        var silenceMax = (limits ?? new()).SilenceMax;
        services.AddHostedMqttServer(options =>
            options.WithoutDefaultEndpoint().WithDefaultCommunicationTimeout(silenceMax)
        );
        services.AddMqttConnectionHandler();
        services.AddSingleton<EmbeddedBroker>();
        services.AddSingleton<IStoredLine>(provider => provider.GetRequiredService<EmbeddedBroker>());
        services.AddSingleton<IHostedService>(provider => provider.GetRequiredService<EmbeddedBroker>());
        return services;
    }

    /// <summary>The same with an external broker: one worker for each partition, and no port to connect to.</summary>
    public static IServiceCollection AddIntake(
        this IServiceCollection services,
        ExternalBroker broker,
        IntakeLimits? limits = null
    )
    {
        services.AddWayToJournal(limits);
        services.AddHealthChecks().AddCheck<LineHealth>("intake", tags: ["ready"]);
        services.AddSingleton(broker);
        services.AddSingleton<DroppedMessages>();
        services.AddSingleton<ExternalLines>();
        services.AddSingleton<IStoredLine>(provider => provider.GetRequiredService<ExternalLines>());
        services.AddHostedService(provider => provider.GetRequiredService<ExternalLines>());
        return services;
    }

    private static void AddWayToJournal(this IServiceCollection services, IntakeLimits? limits)
    {
        services.TryAddSingleton(TimeProvider.System);
        services.AddSingleton(limits ?? new IntakeLimits());
        services.AddSingleton(provider => provider.GetRequiredService<IntakeLimits>().Refused);
        services.AddSingleton<IntakeQueue>();
        services.AddSingleton<IntakeMeter>();
        services.AddSingleton<IntakeStatus>();
        services.AddSingleton<GroupCommit>();
        services.AddSingleton<IRefusedOffering, RefusedOffering>();
        services.AddSingleton<Committing>();
        services.AddHostedService(provider => provider.GetRequiredService<Committing>());
        services.AddSingleton<StoredNotices>();
        services.AddHostedService<StoredTelling>();
        services.AddMetrics();
    }

    /// <summary>Makes a listening port speak MQTT, behind the guard.</summary>
    public static void UseIntakeBroker(this ListenOptions listen)
    {
        var limits = listen.ApplicationServices.GetRequiredService<IntakeLimits>();
        var log = new IntakeLog(listen.ApplicationServices.GetRequiredService<ILogger<PacketGuard>>());
        listen.Use(next =>
            connection =>
            {
                var address = connection.RemoteEndPoint?.ToString() ?? "an unknown address";
                var guard = new PacketGuard(
                    connection.Transport.Input,
                    limits.PacketBytesMax,
                    reason => log.LineEnded(address, reason)
                );
                connection.Transport = new GuardedLine(connection.Transport, guard);
                return next(connection);
            }
        );
        listen.UseMqtt();
    }
}
