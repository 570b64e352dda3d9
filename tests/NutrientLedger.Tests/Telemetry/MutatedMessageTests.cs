using NutrientLedger.Journal;
using NutrientLedger.Journal.Codecs;
using NutrientLedger.Journal.Spreading;
using NutrientLedger.Journal.Storage;
using NutrientLedger.Journal.Weather;
using NutrientLedger.Telemetry;
using Xunit.Abstractions;

namespace NutrientLedger.Tests.Telemetry;

/// <summary>
/// Every message gets a decode result. NUTRIENT_LEDGER_FUZZ sets how many broken messages are read instead of the usual
/// number.
/// </summary>
public sealed class MutatedMessageTests(ITestOutputHelper output)
{
    private const int Usual = 3000;
    private const int Seed = 20261125;

    // Minimum and maximum of each column after the time: the ranges of the guide on sensors times the column's scale.
    private static readonly (long Least, long Most)[] Spread =
    [
        (-900_000_000, 900_000_000),
        (-1_800_000_000, 1_800_000_000),
        (0, 30_000),
        (0, 60_000),
        (0, 1),
        (0, 1_000_000),
        (0, 10_000_000_000_000),
        (0, 1_000_000),
        (0, 50_000),
        (0, 50_000),
        (0, 50_000),
        (0, 50_000),
    ];
    private static readonly (long Least, long Most)[] Store = [(-1000, 50_000), (-60_000, 100_000)];
    private static readonly (long Least, long Most)[] Weather =
    [
        (-60_000, 100_000),
        (0, 100_000),
        (0, 100_000_000),
        (0, 110_000),
    ];

    [Fact]
    public void Broken_messages_of_every_stream_get_a_result_and_decoded_ones_are_in_range_and_read_back_the_same()
    {
        var count = int.TryParse(Environment.GetEnvironmentVariable("NUTRIENT_LEDGER_FUZZ"), out var told)
            ? told
            : Usual;
        var messages = new MutatedMessages(Seed);
        var (decoded, readings) = (0, 0L);
        for (var i = 0; i < count; i++)
        {
            var (topic, payload) = messages.Next();
            switch (MessageDecoder.Decode(topic, null, payload))
            {
                case DecodeResult.Rejected { Reason: var reason }:
                    Assert.NotEmpty(reason);
                    Assert.All(reason, character => Assert.InRange(character, ' ', '~'));
                    break;
                case DecodeResult.Decoded { Event: var entry }:
                    decoded++;
                    readings += entry switch
                    {
                        SpreadingMeasured measured => Checked(measured.Batch, SenmlText.Spread, Spread, topic),
                        StorageLevelMeasured measured => Checked(measured.Batch, SenmlText.Store, Store, topic),
                        WeatherMeasured measured => Checked(measured.Batch, SenmlText.Weather, Weather, topic),
                        _ => throw new InvalidOperationException($"{entry} is no telemetry."),
                    };
                    break;
            }
        }

        output.WriteLine($"{count} messages: {decoded} read with {readings} readings, {count - decoded} refused.");
        // Both results must have occurred, or the test showed nothing.
        Assert.InRange(decoded, count / 50, count / 2);
    }

    private static int Checked<TReading>(
        ReadingBatch<TReading> pack,
        (string Name, string? Unit, int Places)[] columns,
        (long Least, long Most)[] limits,
        string topic
    )
        where TReading : struct, IReading<TReading>
    {
        Assert.InRange(pack.Readings.Length, 1, ReadingBatch<TReading>.ReadingsMax);
        Assert.InRange(pack.FirstSeq, 1, (1L << 53) - pack.Readings.Length + 1);
        Assert.InRange(pack.Boot, 0, 1L << 53);
        foreach (var reading in pack.Readings)
        {
            // 1990 to 2099, the range of the decoder.
            Assert.InRange(reading.MeasuredAtMilliseconds, 631_152_000_000, 4_102_444_800_000);
            for (var column = 1; column < TReading.ColumnCount; column++)
                if (reading.Column(column) is { } value)
                    Assert.InRange(value, limits[column - 1].Least, limits[column - 1].Most);
        }
        // Through the stored form and back.
        var stored = BatchCodec.Decode<TReading>(BatchCodec.Encode(pack));
        Assert.Equal(pack.Readings.ToArray(), stored.Readings.ToArray());
        // Through another message with the same content. A reading of unknown names only cannot be written there.
        if (
            pack.Readings.All(reading =>
                Enumerable.Range(1, TReading.ColumnCount - 1).Any(c => reading.Column(c) is not null)
            )
        )
        {
            var again = Wire.Read(topic, SenmlText.Message(columns, pack.Boot, pack.FirstSeq, pack.Readings));
            Assert.Equal(pack.Readings.ToArray(), PackOf<TReading>(again).Readings.ToArray());
        }
        return pack.Readings.Length;
    }

    private static ReadingBatch<TReading> PackOf<TReading>(DecodeResult fate)
        where TReading : struct, IReading<TReading> =>
        Assert.IsType<DecodeResult.Decoded>(fate).Event switch
        {
            SpreadingMeasured { Batch: ReadingBatch<TReading> pack } => pack,
            StorageLevelMeasured { Batch: ReadingBatch<TReading> pack } => pack,
            WeatherMeasured { Batch: ReadingBatch<TReading> pack } => pack,
            var other => throw new InvalidOperationException($"{other} is of another stream."),
        };
}
