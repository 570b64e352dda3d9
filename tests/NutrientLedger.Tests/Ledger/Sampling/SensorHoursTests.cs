using NutrientLedger.Journal.Sampling;
using NutrientLedger.Journal.Spreading;
using NutrientLedger.Ledger.Sampling;

namespace NutrientLedger.Tests.Ledger.Sampling;

/// <summary>
/// The readings that a calibration would correct against the sensor's range in its samples. A litre passes in each
/// minute of ten hours; the first hour reads 1 g/L, the second 2 g/L and so on. All numbers are invented.
/// </summary>
public class SensorHoursTests
{
    private const int Minutes = 600;

    [Fact]
    public void Hours_more_than_a_tenth_beyond_the_range_are_outside_by_their_volume()
    {
        // From 3.0 to 8.2 g/L: the hours of 1 and 2 g/L lie below 2.7, that of 10 g/L above 9.02, that of 9 within.
        var outside = Read(0).Outside(3_000, 8_200);

        Assert.Equal((600_000, 180_000), (outside.VolumeMillilitres, outside.MillilitresOutside));
        Assert.Equal((0.3, true), (outside.Share, outside.IsTooMuch));
    }

    [Fact]
    public void Readings_before_the_calibration_begins_or_after_it_ends_are_not_corrected()
    {
        Assert.Equal(120_000, Read(2).Outside(5_000, 9_500).MillilitresOutside);
        Assert.Equal(480_000, Read(2).Outside(5_000, 9_500).VolumeMillilitres);
        Assert.Equal(60_000, Read(2, 3).Outside(5_000, 9_500).VolumeMillilitres);
        Assert.Equal((0, false), (Read(20).Outside(1, 2).Share, Read(20).Outside(1, 2).IsTooMuch));
    }

    [Fact]
    public void What_another_sensor_read_or_nobody_read_has_no_part()
    {
        Assert.Equal(0, Read(0, sensor: "nir-2").Outside(1, 2).VolumeMillilitres);
        Assert.Equal(540_000, Read(0, silentHour: 4).Outside(1, 2).VolumeMillilitres);
    }

    private static SensorHours Read(
        int fromHour,
        int untilHour = 100,
        string sensor = Some.Sensor,
        int? silentHour = null
    )
    {
        var configuration = Some.Configuration(Some.ConfigurationEvents());
        var hours = new SensorHours(
            configuration,
            sensor,
            Analyte.TotalNitrogen,
            At(fromHour * 60),
            At(untilHour * 60)
        );
        var drive = Enumerable
            .Range(0, Minutes + 1)
            .Select(minute => new SpreadReading(
                At(minute),
                TotalMillilitres: minute * 1_000,
                TotalNitrogenMilligramsPerLitre: minute / 60 == silentHour ? null : (minute / 60 + 1) * 1_000
            ))
            .ToArray();
        // Two batches, the later one first: the interval between them belongs to one of them.
        var late = Some.Batch(drive[300..]).Batch with
        {
            FirstSeq = 301,
            Before = drive[299],
        };
        hours.Add(late, Some.Recorded);
        hours.Add(Some.Batch(drive[..300]).Batch, Some.Recorded);
        return hours;
    }

    private static long At(int minute) => Some.Morning.AddMinutes(minute).ToUnixTimeMilliseconds();
}
