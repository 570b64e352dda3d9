using System.Collections.Immutable;
using NutrientLedger.Journal;

namespace NutrientLedger.Ledger.Readings;

/// <summary>
/// Readings of one device, stream and boot in the order of their numbers, with all decisions applied. Those that stay
/// out are not among them. Void values count as absent.
/// </summary>
internal sealed record ReadingSeries<TReading>(
    string EquipmentId,
    long Boot,
    ImmutableArray<(long Seq, TReading Reading)> Readings
)
    where TReading : struct, IReading<TReading>
{
    /// <summary>The readings that have a value of this kind, each with its value.</summary>
    internal SeriesValue[] Of(Func<TReading, long?> value)
    {
        var values = new List<SeriesValue>(Readings.Length);
        foreach (ref readonly var known in Readings.AsSpan())
            if (value(known.Reading) is { } one)
                values.Add(new(known.Seq, known.Reading.MeasuredAtMilliseconds, one));
        return [.. values];
    }

    internal ReadingFinding Finding(
        FindingKind kind,
        string measured,
        SeriesValue first,
        SeriesValue last,
        FindingStrength strength,
        NutrientLedger.Journal.Readings.VoidedPart? part
    ) =>
        new(
            kind,
            measured,
            EquipmentId,
            TReading.Stream,
            Boot,
            first.Seq,
            last.Seq,
            Math.Min(first.AtMilliseconds, last.AtMilliseconds),
            Math.Max(first.AtMilliseconds, last.AtMilliseconds),
            strength,
            part
        );
}

/// <summary>One value of a series.</summary>
internal readonly record struct SeriesValue(long Seq, long AtMilliseconds, double Value);
