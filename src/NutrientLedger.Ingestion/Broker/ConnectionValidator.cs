using MQTTnet.Protocol;
using MQTTnet.Server;

namespace NutrientLedger.Ingestion.Broker;

/// <summary>Decides which clients may connect to the embedded broker, and names those without a client id.</summary>
internal sealed class ConnectionValidator
{
    private const int ClientIdLengthMax = 128;

    private long unnamedClients;

    /// <summary>
    /// Accepts or rejects a connection. A client id has at most 128 characters and no control characters.
    /// </summary>
    public void Validate(ValidatingConnectionEventArgs e)
    {
        // A client may leave its id to the broker (MQTT 5 section 3.1.3.1, MQTT 3.1.1 likewise); test tools do.
        if (string.IsNullOrEmpty(e.ClientId))
            e.AssignedClientIdentifier = FormattableString.Invariant(
                $"unnamed-{Interlocked.Increment(ref unnamedClients)}"
            );
        if (e.ClientId is { Length: > ClientIdLengthMax } || e.ClientId?.Any(char.IsControl) == true)
            e.ReasonCode = MqttConnectReasonCode.ClientIdentifierNotValid;
    }
}
