namespace NutrientLedger.Ledger.Meters;

/// <summary>How a meter's total went from a received reading to the next one that was received.</summary>
public enum TotalChange
{
    /// <summary>It rose by what can have run.</summary>
    Rise = 1,

    /// <summary>It began again at the meter's modulus.</summary>
    RollOver = 2,

    /// <summary>It fell, and no roll-over explains it: the meter was reset or replaced.</summary>
    Fall = 3,

    /// <summary>It rose by more than can have run.</summary>
    Leap = 4,

    /// <summary>One of the two is a spike: the totals on both sides of it pass it over.</summary>
    Spike = 5,

    /// <summary>One of the two readings has no total.</summary>
    NoTotal = 6,

    /// <summary>One of the two readings is void, left out or of questionable time.</summary>
    NotCounted = 7,
}
