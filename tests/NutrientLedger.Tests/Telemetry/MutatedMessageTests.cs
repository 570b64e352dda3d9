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
    // Noise of contents lies down to 2 % below zero.
    private static readonly (long Min, long Max)[] Spread =
    [
        (-900_000_000, 900_000_000),
        (-1_800_000_000, 1_800_000_000),
        (0, 30_000),
        (0, 60_000),
        (0, 1),
        (0, 1_000_000),
        (0, 10_000_000_000_000),
        (-20_000, 1_000_000),
        (-1_000, 50_000),
        (-1_000, 50_000),
        (-1_000, 50_000),
        (-1_000, 50_000),
    ];
    private static readonly (long Min, long Max)[] Store = [(-1000, 50_000), (-60_000, 100_000)];
    private static readonly (long Min, long Max)[] Weather =
    [
        (-60_000, 100_000),
        (0, 100_000),
        (0, 100_000_000),
        (0, 110_000),
    ];

    [Fact]
    public void Broken_messages_of_every_stream_get_a_result_and_decoded_ones_are_in_range_and_read_back_the_same()
    {
        var count = int.TryParse(Environment.GetEnvironmentVariable("NUTRIENT_LEDGER_FUZZ"), out var given)
            ? given
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
                case DecodeResult.Decoded { Event: var @event }:
                    decoded++;
                    readings += @event switch
                    {
                        SpreadingMeasured measured => Checked(measured.Batch, SenmlText.Spread, Spread, topic),
                        StorageLevelMeasured measured => Checked(measured.Batch, SenmlText.Store, Store, topic),
                        WeatherMeasured measured => Checked(measured.Batch, SenmlText.Weather, Weather, topic),
                        _ => throw new InvalidOperationException($"{@event} is no telemetry."),
                    };
                    break;
            }
        }

        output.WriteLine($"{count} messages: {decoded} read with {readings} readings, {count - decoded} rejected.");
        // Both results must have occurred, or the test showed nothing.
        Assert.InRange(decoded, count / 50, count / 2);
    }

    private static int Checked<TReading>(
        ReadingBatch<TReading> batch,
        (string Name, string? Unit, int Places)[] columns,
        (long Min, long Max)[] limits,
        string topic
    )
        where TReading : struct, IReading<TReading>
    {
        Assert.InRange(batch.Readings.Length, 1, ReadingBatch<TReading>.ReadingsMax);
        Assert.InRange(batch.FirstSeq, 1, (1L << 53) - batch.Readings.Length + 1);
        Assert.InRange(batch.Boot, 0, 1L << 53);
        foreach (var reading in batch.Readings)
        {
            // 1990 to 2099, the range of the decoder.
            Assert.InRange(reading.MeasuredAtMilliseconds, 631_152_000_000, 4_102_444_800_000);
            for (var column = 1; column < TReading.ColumnCount; column++)
                if (reading.Column(column) is { } value)
                    Assert.InRange(value, limits[column - 1].Min, limits[column - 1].Max);
        }
        // Through the stored form and back.
        var stored = BatchCodec.Decode<TReading>(BatchCodec.Encode(batch));
        Assert.Equal(batch.Readings.ToArray(), stored.Readings.ToArray());
        // Through another message with the same content. A reading of unknown names only cannot be written there.
        if (
            batch.Readings.All(reading =>
                Enumerable.Range(1, TReading.ColumnCount - 1).Any(c => reading.Column(c) is not null)
            )
        )
        {
            var again = Wire.Read(topic, SenmlText.Message(columns, batch.Boot, batch.FirstSeq, batch.Readings));
            Assert.Equal(batch.Readings.ToArray(), BatchOf<TReading>(again).Readings.ToArray());
        }
        return batch.Readings.Length;
    }

    private static ReadingBatch<TReading> BatchOf<TReading>(DecodeResult result)
        where TReading : struct, IReading<TReading> =>
        Assert.IsType<DecodeResult.Decoded>(result).Event switch
        {
            SpreadingMeasured { Batch: ReadingBatch<TReading> batch } => batch,
            StorageLevelMeasured { Batch: ReadingBatch<TReading> batch } => batch,
            WeatherMeasured { Batch: ReadingBatch<TReading> batch } => batch,
            var other => throw new InvalidOperationException($"{other} is of another stream."),
        };
}
