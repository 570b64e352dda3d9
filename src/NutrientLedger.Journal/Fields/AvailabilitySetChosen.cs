using System.Collections.Immutable;

namespace NutrientLedger.Journal.Fields;

/// <summary>
/// From a season on the farm reckons available nutrients by a published set of figures. The circumstances are those that stand
/// for the whole farm and that no machine reports (animal, form, weather …), name and word as factor files spell them.
/// </summary>
public sealed record AvailabilitySetChosen(
    string SetId,
    int FromSeason,
    ImmutableSortedDictionary<string, string> Circumstances
) : IEntry
{
    public bool Equals(AvailabilitySetChosen? other) =>
        other is not null
        && SetId == other.SetId
        && FromSeason == other.FromSeason
        && Circumstances.SequenceEqual(other.Circumstances);

    public override int GetHashCode() => HashCode.Combine(SetId, FromSeason, Circumstances.Count);
}
