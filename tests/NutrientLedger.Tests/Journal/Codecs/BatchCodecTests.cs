using CsCheck;
using NutrientLedger.Journal;
using NutrientLedger.Journal.Codecs;
using NutrientLedger.Journal.Spreading;
using NutrientLedger.Journal.Storage;
using NutrientLedger.Journal.Weather;

namespace NutrientLedger.Tests.Journal.Codecs;

public class BatchCodecTests
{
    private static readonly Gen<int?> MaybeInt = Gen.Int.Nullable();
    private static readonly Gen<long?> MaybeLong = Gen.Long.Nullable();

    private static readonly Gen<SpreadReading> AnySpread = Gen.Select(
        Gen.Select(Gen.Long, MaybeInt, MaybeInt, MaybeInt, MaybeInt, Gen.Bool.Nullable()),
        Gen.Select(MaybeInt, MaybeLong, MaybeInt, MaybeInt, MaybeInt, MaybeInt, MaybeInt),
        (way, flow) =>
            new SpreadReading(
                way.Item1,
                way.Item2,
                way.Item3,
                way.Item4,
                way.Item5,
                way.Item6,
                flow.Item1,
                flow.Item2,
                flow.Item3,
                flow.Item4,
                flow.Item5,
                flow.Item6,
                flow.Item7
            )
    );

    private static readonly Gen<LevelReading> AnyLevel = Gen.Select(
        Gen.Long,
        MaybeInt,
        MaybeInt,
        (at, level, warmth) => new LevelReading(at, level, warmth)
    );

    private static readonly Gen<WeatherReading> AnyWeather = Gen.Select(
        Gen.Long,
        MaybeInt,
        MaybeInt,
        MaybeLong,
        MaybeInt,
        (at, warmth, wind, rain, humidity) => new WeatherReading(at, warmth, wind, rain, humidity)
    );

    /// <summary>The batch that Journal's README explains byte by byte.</summary>
    private static readonly ReadingBatch<LevelReading> Described = new(
        "pit-a",
        Boot: 3,
        FirstSeq: 70,
        [new(1_776_000_060_000, 2_450, 11_500), new(1_776_000_120_000, 2_449)],
        Before: new(1_776_000_000_000, 2_452)
    );

    private const string DescribedBytes =
        "0102057069742d61068c010201" + "018080cb9db067c0a907c0a907" + "01a8260301" + "0202d8b301";

    [Fact]
    public void Any_batch_of_spreading_comes_back_from_its_stored_bytes() => ComesBack(AnySpread);

    [Fact]
    public void Any_batch_of_levels_comes_back_from_its_stored_bytes() => ComesBack(AnyLevel);

    [Fact]
    public void Any_batch_of_weather_comes_back_from_its_stored_bytes() => ComesBack(AnyWeather);

    [Fact]
    public void The_batch_described_for_developers_has_exactly_the_bytes_described()
    {
        Assert.Equal(DescribedBytes, Convert.ToHexStringLower(BatchCodec.Encode(Described)));
        SameBatch(Described, BatchCodec.Decode<LevelReading>(Convert.FromHexString(DescribedBytes)));
    }

    [Fact]
    public void A_steady_device_costs_at_most_thirty_bytes_a_reading()
    {
        var stored = BatchCodec.Encode(Ledger.Some.Batch(new Ledger.Pass(60).Drive()).Batch);

        Assert.InRange(stored.Length, 60, 60 * 30);
    }

    [Fact]
    public void Damaged_bytes_are_a_format_error_or_another_batch_and_nothing_else() =>
        Gen.Select(BatchOf(AnySpread), Gen.Int[0, 10_000], Gen.Byte, Gen.Bool)
            .Sample(
                (batch, place, damage, cut) =>
                {
                    var stored = BatchCodec.Encode(batch);
                    place %= stored.Length;
                    stored[place] ^= damage;
                    var error = Record.Exception(() =>
                        BatchCodec.Decode<SpreadReading>(cut ? stored.AsSpan(0, place) : stored)
                    );
                    return error is null or FormatException;
                },
                iter: 20_000
            );

    [Theory]
    [InlineData("", "end before")]
    [InlineData("02", "version 2")]
    [InlineData("0101", "stream 1")]
    [InlineData("010205706974", "end before")]
    [InlineData("01020161020200", "holds 0 readings")]
    [InlineData("0102016102020104", "unknown mark 4")]
    [InlineData("0102016102020100" + "000000", "without a time")]
    [InlineData("0102016102020100" + "010201" + "8080808080800200", "too large")]
    [InlineData("0102016102020100" + "03", "unknown kind 3")]
    [InlineData("0102016102020100" + "01020000" + "00", "do not belong")]
    [InlineData("010201610202ffffffffffffffffffff01", "longer than ten bytes")]
    public void Damage_is_named(string hex, string named)
    {
        var error = Assert.Throws<FormatException>(() => BatchCodec.Decode<LevelReading>(Convert.FromHexString(hex)));
        Assert.Contains(named, error.Message, StringComparison.Ordinal);
    }

    private static void ComesBack<TReading>(Gen<TReading> anyReading)
        where TReading : struct, IReading<TReading> =>
        BatchOf(anyReading).Sample(batch => SameBatch(batch, BatchCodec.Decode<TReading>(BatchCodec.Encode(batch))));

    private static Gen<ReadingBatch<TReading>> BatchOf<TReading>(Gen<TReading> anyReading)
        where TReading : struct, IReading<TReading> =>
        Gen.Select(
            Gen.String[Gen.Char['a', 'ž'], 1, 40],
            Gen.Long,
            Gen.Long,
            anyReading.Array[1, 40],
            anyReading.Nullable(),
            anyReading.Nullable(),
            (id, boot, seq, readings, before, after) =>
                new ReadingBatch<TReading>(id, boot, seq, [.. readings], before, after)
        );

    private static void SameBatch<TReading>(ReadingBatch<TReading> expected, ReadingBatch<TReading> actual)
        where TReading : struct, IReading<TReading>
    {
        Assert.Equal(expected.Readings, actual.Readings.AsEnumerable());
        Assert.Equal(expected with { Readings = [] }, actual with { Readings = [] });
    }
}
