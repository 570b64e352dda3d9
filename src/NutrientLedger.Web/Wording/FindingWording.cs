using System.Globalization;
using NutrientLedger.Ledger.Readings;

namespace NutrientLedger.Web.Wording;

/// <summary>Describes how strongly readings look wrong.</summary>
internal static class FindingWording
{
    /// <summary>A part of a sentence, without a full stop.</summary>
    public static string Of(FindingStrength strength) =>
        strength switch
        {
            FindingStrength.Alike alike => Text(
                $"the same to the last digit in {alike.Readings} readings, while other values moved"
            ),
            FindingStrength.Far far => Text(
                $"{Plural.Of(far.Readings, "reading")}, up to {far.Deviations:F0} times the typical deviation from the readings around: {far.Value:F0} where {far.Typical:F0} is typical"
            ),
            FindingStrength.Jump jump => Text(
                $"{Plural.Of(jump.Readings, "reading")} where the meter's total jumps from {jump.TotalBefore / 1e6:F3} to {jump.Total / 1e6:F3} m³ and back; what ran there is unknown until the total is voided"
            ),
            FindingStrength.Trend trend => Text(
                $"{(trend.Share > 0 ? "rose" : "fell")} by {Math.Abs(trend.Share):P0} all along ({Math.Abs(trend.StandardErrors):F0} standard errors from standing still); the manure itself may have changed, so take a sample first"
            ),
            _ => throw new ArgumentOutOfRangeException(nameof(strength), strength, "An unknown strength."),
        };

    private static string Text(FormattableString text) => text.ToString(CultureInfo.InvariantCulture);
}
