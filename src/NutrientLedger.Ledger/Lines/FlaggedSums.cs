using System.Collections.Immutable;

namespace NutrientLedger.Ledger.Lines;

/// <summary>
/// What comes from readings that one rule flags: intervals, volume (mL) and the raw sums of each analyte. Additive like
/// a line's own.
/// </summary>
public readonly record struct FlaggedSums(
    long Intervals,
    long Millilitres,
    AnalyteSums DryMatter,
    AnalyteSums TotalNitrogen,
    AnalyteSums AmmoniumNitrogen,
    AnalyteSums Phosphorus,
    AnalyteSums Potassium
)
{
    public static FlaggedSums operator +(FlaggedSums left, FlaggedSums right) =>
        new(
            left.Intervals + right.Intervals,
            left.Millilitres + right.Millilitres,
            left.DryMatter + right.DryMatter,
            left.TotalNitrogen + right.TotalNitrogen,
            left.AmmoniumNitrogen + right.AmmoniumNitrogen,
            left.Phosphorus + right.Phosphorus,
            left.Potassium + right.Potassium
        );
}

/// <summary>
/// The flagged part of a line, rule by rule. Rules overlap, so only <see cref="FlagRule.Any"/> gives the flagged total.
/// </summary>
public sealed class FlaggedParts : IEquatable<FlaggedParts>
{
    public static readonly FlaggedParts None = new(ImmutableSortedDictionary<FlagRule, FlaggedSums>.Empty);

    private readonly ImmutableSortedDictionary<FlagRule, FlaggedSums> parts;

    private FlaggedParts(ImmutableSortedDictionary<FlagRule, FlaggedSums> parts) => this.parts = parts;

    /// <summary>Rules that flagged something, in their order.</summary>
    public IEnumerable<KeyValuePair<FlagRule, FlaggedSums>> ByRule => parts;

    public FlaggedSums this[FlagRule rule] => parts.GetValueOrDefault(rule);

    /// <summary>The same with more flagged by one rule.</summary>
    public FlaggedParts With(FlagRule rule, FlaggedSums more) => new(parts.SetItem(rule, this[rule] + more));

    public static FlaggedParts operator +(FlaggedParts left, FlaggedParts right) =>
        left.parts.Count == 0 ? right : right.parts.Aggregate(left, (sum, part) => sum.With(part.Key, part.Value));

    public bool Equals(FlaggedParts? other) => other is not null && parts.SequenceEqual(other.parts);

    public override bool Equals(object? obj) => Equals(obj as FlaggedParts);

    public override int GetHashCode() =>
        parts.Aggregate(0, (hash, part) => HashCode.Combine(hash, part.Key, part.Value));

    public override string ToString() => string.Join("; ", parts.Select(part => $"{part.Key}: {part.Value}"));
}
