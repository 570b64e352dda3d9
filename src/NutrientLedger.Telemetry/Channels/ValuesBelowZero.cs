namespace NutrientLedger.Telemetry.Channels;

/// <summary>What becomes of a value below the range of its channel. A sensor's noise near zero may lie there.</summary>
internal enum ValuesBelowZero
{
    /// <summary>The message is rejected: the value cannot be meant.</summary>
    Rejected,

    /// <summary>
    /// Near zero it is kept with its sign, so that noise averages out in sums. Further below it is left out.
    /// </summary>
    Kept,

    /// <summary>Near zero it counts as 0. Further below it is left out.</summary>
    Zero,

    /// <summary>It is left out.</summary>
    LeftOut,
}
