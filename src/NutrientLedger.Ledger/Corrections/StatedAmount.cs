namespace NutrientLedger.Ledger.Corrections;

/// <summary>
/// An amount before and after a correction as exact decimals, so that before + change = after holds to the last digit;
/// nothing where it is not known.
/// </summary>
public sealed record StatedAmount(decimal? Before, decimal? After)
{
    public decimal? Change => After - Before;

    /// <summary>Whether the correction made any difference.</summary>
    internal bool Differs => Before != After;
}
