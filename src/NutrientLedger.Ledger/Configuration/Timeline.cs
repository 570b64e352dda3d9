namespace NutrientLedger.Ledger.Configuration;

/// <summary>
/// What was in force from which moment on, in milliseconds since 1970. The latest moment reached counts. Of events for
/// the same moment the one recorded last counts.
/// </summary>
public sealed class Timeline<T>
    where T : class
{
    private readonly long[] moments;

    private readonly T[] inForce;

    /// <summary>Makes a timeline from what was recorded, in the order of the journal.</summary>
    public Timeline(IEnumerable<(long FromMilliseconds, T InForce)> recorded)
    {
        var byMoment = new SortedDictionary<long, T>();
        foreach (var (moment, what) in recorded)
            byMoment[moment] = what;
        moments = [.. byMoment.Keys];
        inForce = [.. byMoment.Values];
    }

    /// <summary>Everything that was ever in force, from the earliest on.</summary>
    public IEnumerable<(long FromMilliseconds, T InForce)> Changes => moments.Zip(inForce);

    /// <summary>What was in force at a moment. Null before the first change.</summary>
    public T? At(long milliseconds) => Last(milliseconds) is >= 0 and var last ? inForce[last] : null;

    /// <summary>The moment of the last change up to a moment. The beginning of time before the first one.</summary>
    internal long Since(long milliseconds) => Last(milliseconds) is >= 0 and var last ? moments[last] : long.MinValue;

    /// <summary>The moment of the first change after a moment. The end of time after the last one.</summary>
    internal long Until(long milliseconds) =>
        Last(milliseconds) + 1 is var next && next < moments.Length ? moments[next] : long.MaxValue;

    private int Last(long milliseconds)
    {
        var found = Array.BinarySearch(moments, milliseconds);
        return found >= 0 ? found : ~found - 1;
    }
}
