using NutrientLedger.Persistence.ReceivedRanges;

namespace NutrientLedger.Persistence.Gaps;

/// <summary>What an append did to the gaps of a boot: new gaps, closed gaps, and all that are open now.</summary>
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
