namespace NutrientLedger.Ingestion.Queueing;

/// <summary>The kind of response to a device's message.</summary>
internal enum AcknowledgeKind
{
    /// <summary>Stored, or stored before.</summary>
    Committed,

    /// <summary>Stored as a dead letter. Sending it again would change nothing.</summary>
    Rejected,

    /// <summary>
    /// Not stored anywhere, because too many sound messages wait already.
    /// </summary>
    OverQuota,

    /// <summary>Not stored anywhere. The device must send it again later.</summary>
    NotCommitted,
}

/// <summary>The response to a device's message, with the reason when it was rejected.</summary>
internal readonly record struct AcknowledgeResult(AcknowledgeKind Kind, string Reason = "");
