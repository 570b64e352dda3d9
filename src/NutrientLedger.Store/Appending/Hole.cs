namespace NutrientLedger.Store;

/// <summary>Consecutive numbers of a boot that have not arrived, and since when that has been known.</summary>
internal readonly record struct Hole(long FirstSeq, long LastSeq, DateTimeOffset Since)
{
    public long Count => LastSeq - FirstSeq + 1;

    public bool Overlaps(Hole other) => FirstSeq <= other.LastSeq && other.FirstSeq <= LastSeq;
}

/// <summary>Compares the holes of a boot before and after something arrived; both lists are in order of their numbers.</summary>
internal static class HoleHistory
{
    /// <summary>The later holes, each known for as long as the one it is a rest of.</summary>
    public static IEnumerable<Hole> Since(IReadOnlyList<Hole> before, IEnumerable<Hole> after)
    {
        var at = 0;
        foreach (var hole in after)
        {
            while (at < before.Count && before[at].LastSeq < hole.FirstSeq)
                at++;
            yield return at < before.Count && before[at].Overlaps(hole) ? hole with { Since = before[at].Since } : hole;
        }
    }

    /// <summary>Those of the first list of which nothing is left, or was there yet, in the second.</summary>
    public static IReadOnlyList<Hole> Without(IReadOnlyList<Hole> holes, IReadOnlyList<Hole> others)
    {
        var found = new List<Hole>();
        var at = 0;
        foreach (var hole in holes)
        {
            while (at < others.Count && others[at].LastSeq < hole.FirstSeq)
                at++;
            if (at == others.Count || !others[at].Overlaps(hole))
                found.Add(hole);
        }
        return found;
    }
}
