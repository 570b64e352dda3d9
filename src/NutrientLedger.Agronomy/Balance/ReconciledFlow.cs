namespace NutrientLedger.Agronomy.Balance;

/// <summary>How a flow's reconciled amount was found.</summary>
public enum FlowStatus
{
    /// <summary>Measured, checked by a balance and adjusted.</summary>
    Adjusted = 1,

    /// <summary>Measured, but no balance checks it; it stays as measured.</summary>
    Unchecked = 2,

    /// <summary>Not measured; it follows from the balances.</summary>
    Inferred = 3,

    /// <summary>Not measured, and it does not follow from the balances.</summary>
    Unknown = 4,
}

/// <summary>
/// A flow after reconciliation. <see cref="NormalizedAdjustment"/> is |adjustment| over its standard deviation, for
/// adjusted flows only. An unknown flow has no amount and no deviation.
/// </summary>
public sealed record ReconciledFlow(
    string Name,
    FlowStatus Status,
    double? Measured,
    double? Amount,
    double? StandardDeviation,
    double? NormalizedAdjustment
);
