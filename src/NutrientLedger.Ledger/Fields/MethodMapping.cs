using NutrientLedger.Agronomy.Factors.Conditions;
using NutrientLedger.Journal.Spreading;

namespace NutrientLedger.Ledger.Fields;

/// <summary>Says in the words of published tables how manure was spread.</summary>
public static class MethodMapping
{
    /// <summary>The standing circumstances with the method and the delay until working in; without a method both stay untold.</summary>
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
