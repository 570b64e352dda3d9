using NutrientLedger.Journal.Definitions;

namespace NutrientLedger.Journal.Spreading;

/// <summary>How manure was put on or into the ground.</summary>
public enum SpreadingMethod
{
    /// <summary>Thrown over the surface.</summary>
    Broadcast = 1,

    /// <summary>Laid in bands on the surface by hoses.</summary>
    TrailingHose = 2,

    /// <summary>Laid in bands under the canopy by shoes.</summary>
    TrailingShoe = 3,

    /// <summary>Placed in slots that stay open.</summary>
    OpenSlotInjection = 4,

    /// <summary>Placed in slots that are closed behind the tool.</summary>
    ClosedSlotInjection = 5,
}

/// <summary>
/// From a moment on an applicator spreads by a method. If a field is named, it holds on that field only. The hours
/// until the manure is worked in are left out when it is never worked in.
/// </summary>
public sealed record SpreadingMethodRecorded(
    string ApplicatorId,
    string? FieldId,
    SpreadingMethod Method,
    int? IncorporatedAfterHours,
    DateTimeOffset ValidFrom
) : IDefinedEvent<SpreadingMethodRecorded>
{
    public static EventDefinition<SpreadingMethodRecorded> Definition { get; } =
        new("spreading_method_recorded", new(EventRoute.FarmFile, "methods"))
        {
            Changes = EventChanges.Nothing,
            Subject = method => method.ApplicatorId,
            Key = method => EntryKey.TextOf(method.ApplicatorId, method.FieldId, method.ValidFrom),
        };
}
