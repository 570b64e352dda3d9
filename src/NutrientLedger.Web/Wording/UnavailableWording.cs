using System.Globalization;
using NutrientLedger.Ledger.Fields;

namespace NutrientLedger.Web.Wording;

/// <summary>Describes why an amount cannot be computed.</summary>
public static class UnavailableWording
{
    /// <summary>The reasons in one line without a full stop; null for a known amount.</summary>
    public static string? Of(Unavailable? unavailable)
    {
        if (unavailable is not { Reasons: var reasons, More: var more })
            return null;
        var rest = more > 0 ? string.Create(CultureInfo.InvariantCulture, $"; and {more} more of this kind") : "";
        return string.Join("; ", reasons.Select(Of)) + rest;
    }

    private static string Of(UnavailableReason reason) =>
        reason switch
        {
            NoFactorSetChosen => "no availability set chosen",
            UnknownFactorSet unknown => $"the availability set {unknown.FactorSet} is not known to this hub",
            NoBoundary => "the field has no boundary in this season",
            LedgerTooYoung young => string.Create(
                CultureInfo.InvariantCulture,
                $"the ledger begins only on {young.Begins:yyyy-MM-dd}"
            ),
            FormsMeasuredApart => "total and ammonium nitrogen were measured in different volumes",
            NoCoefficient none => Of(none),
            _ => throw new ArgumentOutOfRangeException(nameof(reason), reason, "An unknown reason."),
        };

    private static string Of(NoCoefficient none)
    {
        var what = none.Missing.ToString().TrimEnd('.');
        return none.Method is { } method
            ? string.Create(
                CultureInfo.InvariantCulture,
                $"no spreading method is recorded for {method.Applicator} at {method.Hour:yyyy-MM-dd HH:mm}, and {what}"
            )
            : what;
    }
}
