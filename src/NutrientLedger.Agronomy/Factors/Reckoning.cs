using System.Collections.Immutable;

namespace NutrientLedger.Agronomy.Factors;

/// <summary>
/// Collects, while something is computed with a factor set, which figures were used and which were missing, so that all holes are
/// named at once and every result can say what made it.
/// </summary>
public sealed class Reckoning(FactorSet set)
{
    private readonly List<UsedFigure> used = [];
    private readonly List<MissingFigure> missing = [];

    public FactorSet Set => set;

    /// <summary>The value of a figure. A missing one is noted and counted as zero: a result with a hole is never given out.</summary>
    public double Value(FigureKind kind, Circumstances circumstances) =>
        Use(kind, circumstances) is { } found ? found.Value : 0;

    /// <summary>The figure itself, where its unit matters; nothing, and noted, when it is missing.</summary>
    public UsedFigure? Use(FigureKind kind, Circumstances circumstances)
    {
        var answer = set.Find(kind, circumstances);
        if (answer.Used is { } found && !used.Contains(found))
            used.Add(found);
        if (answer.Missing is { } hole)
            Refuse(hole);
        return answer.Used;
    }

    public void Refuse(MissingFigure hole)
    {
        if (!missing.Contains(hole))
            missing.Add(hole);
    }

    public Reckoned<T> Close<T>(T value) => new(set.Id, set.Scheme, value, [.. used], [.. missing]);
}

/// <summary>
/// A result with the set, the scheme and the figures that made it. With a figure missing there is no result: asking for it is a
/// mistake, so look at <see cref="Missing"/> first.
/// </summary>
public sealed class Reckoned<T>(
    string setId,
    Scheme scheme,
    T value,
    ImmutableArray<UsedFigure> used,
    ImmutableArray<MissingFigure> missing
)
{
    public string SetId => setId;

    public Scheme Scheme => scheme;

    public ImmutableArray<UsedFigure> Used => used;

    public ImmutableArray<MissingFigure> Missing => missing;

    public bool IsComplete => missing.IsEmpty;

    public T Value =>
        IsComplete
            ? value
            : throw new InvalidOperationException(string.Join(" ", missing.Select(hole => hole.ToString())));

    /// <summary>Something that follows from the value without any further figure.</summary>
    public Reckoned<TOther> As<TOther>(Func<T, TOther> follows) =>
        new(setId, scheme, IsComplete ? follows(value) : default!, used, missing);

    /// <summary>What is reckoned further from the value, with the figures of both steps; nothing is tried after a hole.</summary>
    public Reckoned<TOther> Then<TOther>(Func<T, Reckoned<TOther>> next) =>
        IsComplete ? next(value).After(used) : new(setId, scheme, default!, used, missing);

    private Reckoned<T> After(ImmutableArray<UsedFigure> before) =>
        new(setId, scheme, value, [.. before.Union(used)], missing);
}
