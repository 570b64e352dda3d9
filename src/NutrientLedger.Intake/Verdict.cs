namespace NutrientLedger.Intake;

/// <summary>What a device is told about its message.</summary>
internal enum VerdictKind
{
    /// <summary>Committed: stored, or known already.</summary>
    Committed,

    /// <summary>Committed to the list of refused messages: sending it again would change nothing.</summary>
    Refused,

    /// <summary>Not committed anywhere: it must be sent again later.</summary>
    NotCommitted,
}

/// <summary>What a device is told about its message, with the reason for a refusal.</summary>
internal readonly record struct Verdict(VerdictKind Kind, string Reason = "");
