using System.Collections.Immutable;

namespace NutrientLedger.Journal;

/// <summary>
/// Consecutive readings of one piece of equipment and stream, numbered <see cref="FirstSeq"/> upwards within a
/// <see cref="Boot"/>. The readings just before and after stand with them, when known as the batch was cut. Each pair
/// of neighbouring readings lies in exactly one event: the one that arrived later.
/// </summary>
public sealed record ReadingBatch<TReading>(
    string EquipmentId,
    long Boot,
    long FirstSeq,
    ImmutableArray<TReading> Readings,
    TReading? Before = null,
    TReading? After = null
)
    where TReading : struct, IReading<TReading>
{
    /// <summary>The most readings that one batch, and so one message, may hold.</summary>
    public const int ReadingsMax = 600;

    /// <summary>The number of the last reading.</summary>
    public long LastSeq => FirstSeq + Readings.Length - 1;

    /// <summary>
    /// The readings in order, with their known neighbours. Every pair of neighbours to be posted is adjacent.
    /// </summary>
    public IEnumerable<TReading> WithNeighbours()
    {
        if (Before is { } before)
            yield return before;
        foreach (var reading in Readings)
            yield return reading;
        if (After is { } after)
            yield return after;
    }
}
