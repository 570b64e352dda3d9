namespace NutrientLedger.Web.Wording;

/// <summary>What to say wherever an amount spread in no-spread zones is shown.</summary>
public static class NoSpreadZoneWording
{
    /// <summary>A caution, as the law of the place is not known here.</summary>
    public const string Caution =
        "Spreading in a no-spread zone may be against local rules. Ask the authority; local codes prevail.";
}
