namespace NutrientLedger.Ledger.Fields;

/// <summary>What a reader of a field's balance should know beside the amounts.</summary>
public enum BalanceNote
{
    /// <summary>The plan counts available nitrogen, which is unknown. The plan's nitrogen says why.</summary>
    AvailableNitrogenUnknown = 1,

    /// <summary>Nitrogen cannot be compared with the plan. The plan's nitrogen says why.</summary>
    NoComparison = 2,

    /// <summary>The plan counts available nitrogen, by the factor set of the balance.</summary>
    AvailableNitrogenCounted = 3,

    /// <summary>A calibration makes a content negative in part of the volume.</summary>
    NegativeContent = 4,

    /// <summary>The sensor measured more ammonium nitrogen than total nitrogen.</summary>
    AmmoniumAboveTotal = 5,
}
