using System.Collections.Immutable;
using NutrientLedger.Journal.Definitions;

namespace NutrientLedger.Journal.Fields;

/// <summary>
/// From a season on the farm reckons available nutrients by a set of figures: a published one by its id, or one of the farm's own,
/// whose whole file is then kept here so that every later statement can be made again from the journal alone. The circumstances
/// are those that stand for the whole farm and that no machine reports (animal, form, weather …), spelled as factor files do.
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
            Key = choice => choice.FromSeason,
        };

    public bool Equals(AvailabilitySetChosen? other) =>
        other is not null
        && SetId == other.SetId
        && FromSeason == other.FromSeason
        && OwnSet == other.OwnSet
        && Circumstances.SequenceEqual(other.Circumstances);

    public override int GetHashCode() => HashCode.Combine(SetId, FromSeason, Circumstances.Count);
}
