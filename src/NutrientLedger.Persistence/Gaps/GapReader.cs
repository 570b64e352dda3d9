using Npgsql;
using NutrientLedger.Journal;
using NutrientLedger.Journal.Codecs;
using NutrientLedger.Journal.Spreading;
using NutrientLedger.Journal.Storage;
using NutrientLedger.Journal.Weather;
using NutrientLedger.Persistence.ReceivedRanges;

namespace NutrientLedger.Persistence.Gaps;

/// <summary>Numbers of one boot that have not arrived, first to last.</summary>
public sealed record MissingNumbers(long Boot, long FirstSeq, long LastSeq)
{
    /// <summary>How many there are.</summary>
    public long Count => LastSeq - FirstSeq + 1;
}

/// <summary>
/// Missing numbers, since when that is known, and the readings on both sides. Before is null at the start of a boot,
/// After at its end.
/// </summary>
public sealed record OpenGap(MissingNumbers Numbers, DateTimeOffset Since, GapSide? Before, GapSide? After);

/// <summary>A reading beside a gap: its measured time, and the meter's running total in mL where it has one.</summary>
public readonly record struct GapSide(DateTimeOffset MeasuredAt, long? TotalMillilitres);

/// <summary>
/// Finds what is missing from the received ranges: the gaps between 1 and the highest number known of each boot. What a
/// device numbered before its first message is a gap too.
/// </summary>
internal static class GapReader
{
    public static async Task<ILookup<(string EquipmentId, TelemetryStream Stream), OpenGap>> OfFarmAsync(
        NpgsqlDataSource source,
        string farmId,
        CancellationToken cancellationToken
    )
    {
        var found = await ReceivedRangeRows.WithGapsAsync(source, farmId, cancellationToken);
        var gaps =
            from one in found
            from gap in Gaps(one.Row, one.Key.Boot, SideOf(one.Key.Stream))
            select (one.Key.EquipmentId, one.Key.Stream, Gap: gap);
        return gaps.ToLookup(one => (one.EquipmentId, one.Stream), one => one.Gap);
    }

    private static IEnumerable<OpenGap> Gaps(ReceivedRangeRow row, long boot, Func<byte[], GapSide> side)
    {
        // Gaps and ranges alternate. A boot that begins with a gap has no range before it.
        var next = row.Ranges is [{ LowerBound: 1 }, ..] ? 1 : 0;
        foreach (var missing in row.Gaps())
        {
            yield return new(
                new(boot, missing.FirstSeq, missing.LastSeq),
                missing.Since,
                next > 0 ? side(row.RangeEnds[(2 * next) - 1]) : null,
                next < row.Ranges.Length ? side(row.RangeEnds[2 * next]) : null
            );
            next++;
        }
    }

    private static Func<byte[], GapSide> SideOf(TelemetryStream stream) =>
        stream switch
        {
            TelemetryStream.Spread => end =>
            {
                var reading = BatchCodec.Decode<SpreadReading>(end).Readings[0];
                return new(At(reading.MeasuredAtMilliseconds), reading.TotalMillilitres);
            },
            TelemetryStream.Store => Timed<LevelReading>,
            _ => Timed<WeatherReading>,
        };

    private static GapSide Timed<TReading>(byte[] end)
        where TReading : struct, IReading<TReading> =>
        new(At(BatchCodec.Decode<TReading>(end).Readings[0].MeasuredAtMilliseconds), null);

    private static DateTimeOffset At(long milliseconds) => DateTimeOffset.FromUnixTimeMilliseconds(milliseconds);
}
