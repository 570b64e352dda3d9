using System.Collections.Immutable;
using NutrientLedger.Agronomy.Factors.Conditions;

namespace NutrientLedger.Agronomy.Factors;

/// <summary>
/// Records which coefficients a calculation used and which were missing. So all missing coefficients are named at once,
/// and every result can say what it was computed from.
/// </summary>
public sealed class Provenance(FactorSet set)
{
    private readonly List<UsedCoefficient> used = [];
    private readonly List<MissingCoefficient> missing = [];

    public FactorSet Set => set;

    /// <summary>
    /// The value of a coefficient. A missing one is recorded and counts as zero; an incomplete result is never
    /// returned.
    /// </summary>
    public double Value(CoefficientKind kind, Circumstances circumstances) =>
        Use(kind, circumstances) is { } found ? found.Value : 0;

    /// <summary>The coefficient itself, where its unit matters. Null when it is missing, which is recorded.</summary>
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
/// A result with the set, the scheme and the coefficients it was computed from. Check <see cref="Missing"/> first:
/// while a coefficient is missing, there is no value and reading it throws <see cref="InvalidOperationException"/>.
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

    /// <summary>A value that follows from this one without further coefficients.</summary>
    public TracedValue<TOther> As<TOther>(Func<T, TOther> follows) =>
        new(setId, scheme, IsComplete ? follows(value) : default!, used, missing);

    /// <summary>
    /// A further calculation from this value, with the coefficients of both steps. It is skipped when a coefficient is
    /// missing.
    /// </summary>
    public TracedValue<TOther> Then<TOther>(Func<T, TracedValue<TOther>> next) =>
        IsComplete ? next(value).After(used) : new(setId, scheme, default!, used, missing);

    private TracedValue<T> After(ImmutableArray<UsedCoefficient> before) =>
        new(setId, scheme, value, [.. before.Union(used)], missing);
}
