namespace NutrientLedger.Ingestion.Queueing;

/// <summary>What a device is told about its message.</summary>
internal enum AcknowledgeKind
{
    /// <summary>Committed: stored, or known already.</summary>
    Committed,

    /// <summary>Committed to the list of refused messages: sending it again would change nothing.</summary>
    Rejected,

    /// <summary>Not committed anywhere: it must be sent again later.</summary>
    NotCommitted,
}

/// <summary>What a device is told about its message, with the reason for a refusal.</summary>
internal readonly record struct AcknowledgeResult(AcknowledgeKind Kind, string Reason = "");
