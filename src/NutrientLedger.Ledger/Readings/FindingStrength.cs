namespace NutrientLedger.Ledger.Readings;

/// <summary>How strongly readings look wrong, as data without words.</summary>
public abstract record FindingStrength
{
    /// <summary>So many readings alike to the last digit, while other values moved.</summary>
    public sealed record Alike(int Readings) : FindingStrength;

    /// <summary>
    /// So many readings far from those around. Of the worst: by how many typical deviations, its value and the typical
    /// value, both in the reading's unit.
    /// </summary>
    public sealed record Far(int Readings, double Deviations, double Value, double Typical) : FindingStrength;

    /// <summary>
    /// So many readings with totals (mL) that the meter cannot have shown: from the one before to the worst.
    /// </summary>
    public sealed record Jump(int Readings, long TotalBefore, long Total) : FindingStrength;

    /// <summary>
    /// A rise (a fall where below zero) as a share of the content, so many standard errors from standing still.
    /// </summary>
    public sealed record Trend(double Share, double StandardErrors) : FindingStrength;
}
