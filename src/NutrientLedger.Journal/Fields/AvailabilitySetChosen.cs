using System.Collections.Immutable;
using NutrientLedger.Journal.Definitions;

namespace NutrientLedger.Journal.Fields;

/// <summary>
/// From a season on the farm computes available nutrients with a set of coefficients. It is a published set, by its id,
/// or the farm's own. The whole file of an own set is kept here, so that the journal alone can reproduce every later
/// statement. The circumstances hold for the whole farm and are not measured by a machine (animal, form, weather …).
/// They are spelled as factor files do.
/// </summary>
public sealed record AvailabilitySetChosen(
    string SetId,
    int FromSeason,
    ImmutableSortedDictionary<string, string> Circumstances,
    string? OwnSet = null
) : IDefinedEvent<AvailabilitySetChosen>
{
    public static EventDefinition<AvailabilitySetChosen> Definition { get; } =
        new("availability_set_chosen", new(EventRoute.FarmFile, "availability"))
        {
            Changes = EventChanges.Nothing,
            Subject = choice => choice.SetId,
            Key = choice => EntryKey.TextOf(choice.FromSeason),
        };

    public bool Equals(AvailabilitySetChosen? other) =>
        other is not null
        && SetId == other.SetId
        && FromSeason == other.FromSeason
        && OwnSet == other.OwnSet
        && Circumstances.SequenceEqual(other.Circumstances);

    public override int GetHashCode() => HashCode.Combine(SetId, FromSeason, Circumstances.Count);
}
