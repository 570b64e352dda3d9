namespace NutrientLedger.Store;

/// <summary>
/// What an append did to the holes of a boot: those that were not known before, those of which nothing is left, and all that are open now.
/// </summary>
internal sealed record GapChange(
    SeenKey Key,
    IReadOnlyList<Hole> Opened,
    IReadOnlyList<Hole> Closed,
    IReadOnlyList<Hole> Open
)
{
    public static GapChange Between(SeenKey key, SeenRow before, SeenRow after)
    {
        var (earlier, later) = (before.Holes(), after.Holes());
        return new(key, HoleHistory.Without(later, earlier), HoleHistory.Without(earlier, later), later);
    }
}
