namespace NutrientLedger.Agronomy.Factors;

/// <summary>The units in which bulletins print crop removal, spelled as in a factor file.</summary>
public static class RemovalUnit
{
    public const string PoundsPerBushel = "lb/bu";

    /// <summary>
    /// Per short ton of crop at the dry matter the coefficient states, or as harvested if it states none.
    /// </summary>
    public const string PoundsPerShortTon = "lb/ton";

    public const string PoundsPerShortTonDry = "lb/ton dry matter";

    /// <summary>
    /// Per tonne of crop at the dry matter the coefficient states, or as harvested if it states none.
    /// </summary>
    public const string KilogramsPerTonne = "kg/t";

    /// <summary>Of the crop at the dry matter the coefficient states, or as harvested if it states none.</summary>
    public const string PercentOfFreshMass = "% of fresh mass";

    public const string PercentOfDryMatter = "% of dry matter";
}
