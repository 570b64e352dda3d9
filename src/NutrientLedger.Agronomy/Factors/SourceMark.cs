namespace NutrientLedger.Agronomy.Factors;

/// <summary>How far a figure can be trusted to be what its source prints.</summary>
public enum SourceMark
{
    /// <summary>Read in a copy of the source.</summary>
    Published = 1,

    /// <summary>Known to stand in the source, written down from memory; check it before relying on it.</summary>
    FromMemory = 2,

    /// <summary>What the trade does; no source.</summary>
    CommonPractice = 3,

    /// <summary>Computed from other figures; printed nowhere.</summary>
    Derived = 4,

    /// <summary>A farm's or adviser's own value.</summary>
    OwnValue = 5,
}
