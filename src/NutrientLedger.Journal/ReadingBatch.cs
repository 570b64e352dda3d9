using System.Collections.Immutable;

namespace NutrientLedger.Journal;

/// <summary>
/// Consecutive readings of one piece of equipment and stream, numbered <see cref="FirstSeq"/> upwards within a
/// <see cref="Boot"/>, with the readings just before and after when they were already known as the pack was cut. Each
/// pair of neighbouring readings therefore lies in exactly one entry: the one that arrived later.
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
    /// <summary>The most readings one pack, and so one message, may hold.</summary>
    public const int ReadingsMax = 600;

    /// <summary>The number of the last reading.</summary>
    public long LastSeq => FirstSeq + Readings.Length - 1;

    /// <summary>The readings in order with their known neighbours, so that every pair of neighbours to be posted stands side by side.</summary>
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
