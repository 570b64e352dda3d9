namespace NutrientLedger.Agronomy.Balance;

/// <summary>How a flow's reconciled amount came about.</summary>
public enum FlowStatus
{
    /// <summary>Measured, and the balances check it: it was adjusted.</summary>
    Adjusted = 1,

    /// <summary>Measured, but no balance can check it: it stays as measured.</summary>
    Unchecked = 2,

    /// <summary>Not measured; it follows from the balances.</summary>
    Inferred = 3,

    /// <summary>Not measured, and it does not follow from the balances.</summary>
    Unknown = 4,
}

/// <summary>
/// A flow after reconciliation. <see cref="NormalizedAdjustment"/> is |adjustment| over its standard deviation; it exists for
/// adjusted flows only. Amount and deviation are missing when the flow is unknown.
/// </summary>
public sealed record ReconciledFlow(
    string Name,
    FlowStatus Status,
    double? Measured,
    double? Amount,
    double? StandardDeviation,
    double? NormalizedAdjustment
);
