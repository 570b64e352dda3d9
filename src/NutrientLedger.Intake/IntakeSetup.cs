using Microsoft.AspNetCore.Server.Kestrel.Core;
using Microsoft.Extensions.DependencyInjection;

namespace NutrientLedger.Intake;

/// <summary>Puts the embedded broker and the way from broker to journal into a host.</summary>
public static class IntakeSetup
{
    /// <summary>Queue, group commit, broker.</summary>
    public static IServiceCollection AddIntake(this IServiceCollection services) => throw new NotImplementedException();

    /// <summary>Makes a listening port speak MQTT, behind the guard.</summary>
    public static void UseIntakeBroker(this ListenOptions listen) => throw new NotImplementedException();
}
