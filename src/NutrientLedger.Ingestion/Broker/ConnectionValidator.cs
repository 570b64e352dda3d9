using MQTTnet.Protocol;
using MQTTnet.Server;

namespace NutrientLedger.Ingestion.Broker;

/// <summary>The one place that says who is speaking on a line of the embedded broker, and who may.</summary>
internal sealed class ConnectionValidator
{
    private const int ClientIdLengthMax = 128;

    private long unnamedClients;

    /// <summary>Lets a line in under a name, or not.</summary>
    public void Validate(ValidatingConnectionEventArgs e)
    {
        // A sender may leave its name to the broker (MQTT 5 section 3.1.3.1, MQTT 3.1.1 likewise); test tools do.
        if (string.IsNullOrEmpty(e.ClientId))
            e.AssignedClientIdentifier = FormattableString.Invariant(
                $"unnamed-{Interlocked.Increment(ref unnamedClients)}"
            );
        if (e.ClientId is { Length: > ClientIdLengthMax } || e.ClientId?.Any(char.IsControl) == true)
            e.ReasonCode = MqttConnectReasonCode.ClientIdentifierNotValid;
    }
}
