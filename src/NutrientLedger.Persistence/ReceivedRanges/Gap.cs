namespace NutrientLedger.Persistence.ReceivedRanges;

/// <summary>Consecutive numbers of a boot that have not arrived, and since when that has been known.</summary>
internal readonly record struct Gap(long FirstSeq, long LastSeq, DateTimeOffset Since)
{
    public long Count => LastSeq - FirstSeq + 1;

    public bool Overlaps(Gap other) => FirstSeq <= other.LastSeq && other.FirstSeq <= LastSeq;
}

/// <summary>
/// Compares the gaps of a boot before and after something arrived. Both lists are in order of their numbers.
/// </summary>
internal static class GapHistory
{
    /// <summary>The later gaps, each known since the earlier one that it is a part of.</summary>
    public static IEnumerable<Gap> Since(IReadOnlyList<Gap> before, IEnumerable<Gap> after)
    {
        var at = 0;
        foreach (var gap in after)
        {
            while (at < before.Count && before[at].LastSeq < gap.FirstSeq)
                at++;
            yield return at < before.Count && before[at].Overlaps(gap) ? gap with { Since = before[at].Since } : gap;
        }
    }

    /// <summary>Those of the first list that have no part in the second.</summary>
    public static IReadOnlyList<Gap> Without(IReadOnlyList<Gap> gaps, IReadOnlyList<Gap> others)
    {
        var found = new List<Gap>();
        var at = 0;
        foreach (var gap in gaps)
        {
            while (at < others.Count && others[at].LastSeq < gap.FirstSeq)
                at++;
            if (at == others.Count || !others[at].Overlaps(gap))
                found.Add(gap);
        }
        return found;
    }
}
