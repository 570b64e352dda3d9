using NutrientLedger.Agronomy.Fields;
using NutrientLedger.Agronomy.Storage;
using NutrientLedger.Agronomy.Storage.Shapes;
using NutrientLedger.Journal;
using NutrientLedger.Journal.Fields;
using NutrientLedger.Journal.Spreading;
using NutrientLedger.Journal.Storage;
using NutrientLedger.Ledger.Configuration;
using NutrientLedger.Ledger.Lines;
using NutrientLedger.Ledger.Storage;

namespace NutrientLedger.Tests.Ledger.Storage;

/// <summary>
/// One invented working day at a pit: 1,500 m³ drawn from 08:00 to 16:00. Levels come every five minutes with ripples
/// and some dropouts. There is a tape reading before and after, a set rate, and the usual errors. A test can add a
/// fault. Everything is given as posted and recorded, so the period is reconciled as any other day.
/// </summary>
internal sealed class InventedDay(Random random)
{
    private const double Drawn = 1500;
    private const double Inflow = 13;
    private const double AtStart = 6000;

    private static readonly RectangularBasin Basin = new(60_000, 30_000, 3_000, 4_000);
    private static readonly DateTimeOffset Midnight = new(2026, 4, 21, 0, 0, 0, TimeSpan.FromHours(-5));
    private static readonly PitRegistered Pit = new("basin", "Basin", Basin, 3_800);

    private static readonly IJournalEvent[] Registered =
    [
        new FarmRegistered("Test", "America/Chicago", 10, 1, new(2025, 10, 1), new CoverageGrid(90, 124)),
        Pit,
        new PitSurroundingsSet("R. Field", Pit.PitId, 0, 0, Covered: true, Midnight.AddDays(-1)),
        new DailyInflowSet("R. Field", Pit.PitId, InflowKind.Manure, 200, 65_000, Midnight.AddDays(-1), null),
    ];

    public double MeterScale { get; set; } = 1;

    /// <summary>The sensor shifts by this much at noon; above zero it reads too low from then on.</summary>
    public int SlipMillimetres { get; set; }

    public int OffsetMillimetres { get; set; }

    /// <summary>From midnight to 08:00 the level falls by this much, evenly, though nothing is drawn.</summary>
    public int NightDriftMillimetres { get; set; }

    /// <summary>The part of the drawn volume that is lost before the meter.</summary>
    public double LeakShare { get; set; }

    public bool HasTape { get; set; } = true;

    /// <summary>The ratio of the real errors to the stated ones.</summary>
    public double ErrorScale { get; set; } = 1;

    /// <summary>Waves on the pit all day: their height from crest to middle.</summary>
    public double WavesMillimetres { get; set; }

    public ReconciledPitPeriod Period()
    {
        var inflow = Inflow * (1 + Error(0.15));
        var levels = CleanedLevels.Of([.. Levels(inflow)]);
        var rate = new SpreadingRateSet("R. Field", "drag-line", null, 20_000_000, Midnight, null);
        IJournalEvent[] recorded = HasTape ? [Tape(7, inflow), Tape(17, inflow), rate] : [rate];
        var configuration = Registered
            .Concat(recorded)
            .Aggregate(FarmConfiguration.Empty, (so, @event) => so.With(@event));
        return ReconciledPitPeriod.Of(
            new(
                configuration,
                Pit,
                Midnight.ToUnixTimeMilliseconds(),
                Midnight.AddDays(1).ToUnixTimeMilliseconds(),
                [.. Lines()],
                levels,
                [],
                []
            )
        );
    }

    // A sensor's error drifts from its morning value to its evening value.
    private IEnumerable<LevelAt> Levels(double inflow)
    {
        var (morning, evening) = (Error(5), Error(5));
        for (var minute = -60; minute <= 1500; minute += 5)
        {
            var error =
                morning
                + (evening - morning) * minute / 1440.0
                + OffsetMillimetres
                - (minute >= 720 ? SlipMillimetres : 0)
                - NightDriftMillimetres * Math.Clamp(minute / 480.0, 0, 1)
                + WavesMillimetres * Math.Sin(minute * 0.9)
                + 4 * Normal();
            var dropsOut = random.NextDouble() < 0.01;
            var level = dropsOut ? 0 : (int)Math.Round(Depth(Held(minute, inflow)) + error);
            yield return new(Midnight.AddMinutes(minute).ToUnixTimeMilliseconds(), level);
        }
    }

    private LevelTaped Tape(int hour, double inflow)
    {
        var depth = Depth(Held(hour * 60, inflow)) + Error(10);
        return new(
            "R. Field",
            Midnight.AddHours(hour),
            Pit.PitId,
            10_000,
            10_000 - (int)Math.Round(depth),
            90_000,
            null
        );
    }

    // Eight equal hours. At the set rate of 20 m³/ha the area gives the volume spread, apart from the rate's own error.
    private IEnumerable<KeyValuePair<LineKey, LineAmounts>> Lines()
    {
        var arrived = Drawn * (1 - LeakShare);
        var metered = arrived * MeterScale * (1 + Error(0.01));
        var hectares = arrived * (1 + Error(0.03)) / 20;
        for (var hour = 8; hour < 16; hour++)
            yield return new(
                new("east", 2026, Midnight.AddHours(hour).ToUnixTimeSeconds(), "drag-line", Pit.PitId, ""),
                new()
                {
                    Intervals = 1,
                    VolumeMillilitres = (long)(metered / 8 * 1e6),
                    AreaTravelledSquareCentimetres = (long)(hectares / 8 * 1e8),
                    LastMeasuredAtMilliseconds = Midnight.AddHours(hour).ToUnixTimeMilliseconds(),
                }
            );
    }

    private static double Held(int minute, double inflow) =>
        AtStart + inflow * minute / 1440 - Drawn * Math.Clamp((minute - 480) / 480.0, 0, 1);

    private static double Depth(double volume)
    {
        var below = Basin.LevelMillimetresHolding(volume);
        var rest = volume - Basin.VolumeCubicMetres(below);
        return below + rest / Basin.SurfaceSquareMetres(below) * 1000;
    }

    private double Error(double deviation) => deviation * ErrorScale * Normal();

    private double Normal() =>
        Math.Sqrt(-2 * Math.Log(1 - random.NextDouble())) * Math.Cos(2 * Math.PI * random.NextDouble());
}
