namespace NutrientLedger.Agronomy.Factors;

/// <summary>How far a coefficient can be trusted to be what its source prints.</summary>
public enum SourceMark
{
    /// <summary>Read in a copy of the source.</summary>
    Published = 1,

    /// <summary>Known to stand in the source, but written down from memory. Check it before relying on it.</summary>
    FromMemory = 2,

    /// <summary>Common practice of the trade; no source.</summary>
    CommonPractice = 3,

    /// <summary>Computed from other coefficients; not printed in any source.</summary>
    Derived = 4,

    /// <summary>A farm's or adviser's own value.</summary>
    OwnValue = 5,
}
