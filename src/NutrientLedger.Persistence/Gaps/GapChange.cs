using NutrientLedger.Persistence.ReceivedRanges;

namespace NutrientLedger.Persistence.Gaps;

/// <summary>
/// What an append did to the holes of a boot: those that were not known before, those of which nothing is left, and all that are open now.
/// </summary>
internal sealed record GapChange(
    SequenceKey Key,
    IReadOnlyList<Gap> Opened,
    IReadOnlyList<Gap> Closed,
    IReadOnlyList<Gap> Open
)
{
    public static GapChange Between(SequenceKey key, ReceivedRangeRow before, ReceivedRangeRow after)
    {
        var (earlier, later) = (before.Gaps(), after.Gaps());
        return new(key, GapHistory.Without(later, earlier), GapHistory.Without(earlier, later), later);
    }
}
