using System.Collections.Immutable;
using NutrientLedger.Agronomy.Factors.Conditions;

namespace NutrientLedger.Agronomy.Factors;

/// <summary>
/// Collects, while something is computed with a factor set, which figures were used and which were missing, so that all holes are
/// named at once and every result can say what made it.
/// </summary>
public sealed class Provenance(FactorSet set)
{
    private readonly List<UsedCoefficient> used = [];
    private readonly List<MissingCoefficient> missing = [];

    public FactorSet Set => set;

    /// <summary>The value of a figure. A missing one is noted and counted as zero: a result with a hole is never given out.</summary>
    public double Value(CoefficientKind kind, Circumstances circumstances) =>
        Use(kind, circumstances) is { } found ? found.Value : 0;

    /// <summary>The figure itself, where its unit matters; nothing, and noted, when it is missing.</summary>
    public UsedCoefficient? Use(CoefficientKind kind, Circumstances circumstances)
    {
        var answer = set.Find(kind, circumstances);
        if (answer.Used is { } found && !used.Contains(found))
            used.Add(found);
        if (answer.Missing is { } absent)
            NoteMissing(absent);
        return answer.Used;
    }

    public void NoteMissing(MissingCoefficient absent)
    {
        if (!missing.Contains(absent))
            missing.Add(absent);
    }

    public TracedValue<T> Trace<T>(T value) => new(set.Id, set.Scheme, value, [.. used], [.. missing]);
}

/// <summary>
/// A result with the set, the scheme and the figures that made it. With a figure missing there is no result: asking for it is a
/// mistake, so look at <see cref="Missing"/> first.
/// </summary>
public sealed class TracedValue<T>(
    string setId,
    Scheme scheme,
    T value,
    ImmutableArray<UsedCoefficient> used,
    ImmutableArray<MissingCoefficient> missing
)
{
    public string SetId => setId;

    public Scheme Scheme => scheme;

    public ImmutableArray<UsedCoefficient> Used => used;

    public ImmutableArray<MissingCoefficient> Missing => missing;

    public bool IsComplete => missing.IsEmpty;

    public T Value =>
        IsComplete
            ? value
            : throw new InvalidOperationException(string.Join(" ", missing.Select(absent => absent.ToString())));

    /// <summary>Something that follows from the value without any further figure.</summary>
    public TracedValue<TOther> As<TOther>(Func<T, TOther> follows) =>
        new(setId, scheme, IsComplete ? follows(value) : default!, used, missing);

    /// <summary>What is reckoned further from the value, with the figures of both steps; nothing is tried after a hole.</summary>
    public TracedValue<TOther> Then<TOther>(Func<T, TracedValue<TOther>> next) =>
        IsComplete ? next(value).After(used) : new(setId, scheme, default!, used, missing);

    private TracedValue<T> After(ImmutableArray<UsedCoefficient> before) =>
        new(setId, scheme, value, [.. before.Union(used)], missing);
}
