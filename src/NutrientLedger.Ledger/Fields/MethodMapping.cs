using NutrientLedger.Agronomy.Factors.Conditions;
using NutrientLedger.Journal.Spreading;

namespace NutrientLedger.Ledger.Fields;

/// <summary>Maps a spreading method to the terms of published tables.</summary>
public static class MethodMapping
{
    /// <summary>
    /// The default conditions with the method and the delay until working in. Without a method both stay unknown.
    /// </summary>
    public static Circumstances With(this Circumstances circumstances, SpreadingMethodRecorded? method) =>
        method is null
            ? circumstances
            : circumstances with
            {
                Method = Of(method.Method),
                WorkedInAfterHours = method.IncorporatedAfterHours ?? Circumstances.Never,
            };

    private static ApplicationMethod Of(SpreadingMethod method) =>
        method switch
        {
            SpreadingMethod.Broadcast => ApplicationMethod.Broadcast,
            SpreadingMethod.TrailingHose => ApplicationMethod.TrailingHose,
            SpreadingMethod.TrailingShoe => ApplicationMethod.TrailingShoe,
            SpreadingMethod.OpenSlotInjection => ApplicationMethod.OpenSlotInjection,
            SpreadingMethod.ClosedSlotInjection => ApplicationMethod.ClosedSlotInjection,
            _ => throw new ArgumentOutOfRangeException(nameof(method), method, "An unknown method."),
        };
}
