namespace NutrientLedger.Telemetry;

/// <summary>Reads a message off the wire: topic, content type and bytes to readings, or a reason why not. Never throws for what a sender did.</summary>
public static class MessageReader
{
    /// <summary>The fate of one message. A missing content type means SenML JSON.</summary>
    public static MessageFate Read(string topic, string? contentType, ReadOnlySpan<byte> payload) =>
        throw new NotImplementedException();
}
