using NutrientLedger.Agronomy.Storage;

namespace NutrientLedger.Tests.Storage;

/// <summary>
/// One invented working day at a pit: 1,500 m³ drawn from 08:00 to 16:00, levels every five minutes with ripples and a dropout now and
/// then, a tape before and after, a set rate, and the usual errors; on top of them a fault, if a test wants one.
/// </summary>
internal sealed class InventedDay(Random random)
{
    private const double Drawn = 1500;
    private const double Inflow = 13;

    public double MeterScale { get; set; } = 1;

    /// <summary>The sensor slips by so much at noon; above zero it reads too low from then on.</summary>
    public int SlipMillimetres { get; set; }

    public int OffsetMillimetres { get; set; }

    /// <summary>The part of the drawn volume that is lost before the meter.</summary>
    public double LeakShare { get; set; }

    public bool HasTape { get; set; } = true;

    public PitStory Story(PitShape shape)
    {
        const double start = 6000;
        var end = start + Inflow - Drawn;
        var inflow = Inflow * (1 + 0.15 * Normal());
        var levels = CleanedLevels.Of(Levels(shape, start));
        var (first, last) = (levels.MillimetresAt(0)!.Value, levels.MillimetresAt(86_400_000)!.Value);
        var surface = shape.SurfaceSquareMetres(shape.LevelMillimetresHolding(start));
        return new(
            Stock("the level sensor", Volume(shape, first + 5 * Normal()), Volume(shape, last + 5 * Normal()), 5),
            HasTape
                ? Stock(
                    "the tape",
                    Volume(shape, Depth(start) + 10 * Normal()),
                    Volume(shape, Depth(end) + 10 * Normal()),
                    10
                )
                : null,
            [Told("manure inflow", inflow, 0.15 * Inflow)],
            [],
            [
                new(
                    Told(
                        "the flow meter of drag-line",
                        Drawn * (1 - LeakShare) * MeterScale * (1 + 0.01 * Normal()),
                        0.01 * Drawn
                    ),
                    Told("area × set rate of drag-line", Drawn * (1 - LeakShare) * (1 + 0.03 * Normal()), 0.03 * Drawn)
                ),
            ]
        );

        double Depth(double volume) => shape.LevelMillimetresHolding(volume);

        ToldStock Stock(string witness, double atStart, double atEnd, double millimetres) =>
            new(
                witness,
                Millilitres(atStart),
                Millilitres(atEnd),
                Millilitres(Math.Sqrt(2) * millimetres / 1000 * surface),
                "drawn"
            );
    }

    private IEnumerable<LevelAt> Levels(PitShape shape, double start)
    {
        for (var minute = 0; minute <= 1440; minute += 5)
        {
            var volume = start + Inflow * minute / 1440 - Drawn * Math.Clamp((minute - 480) / 480.0, 0, 1);
            var level =
                shape.LevelMillimetresHolding(volume) + OffsetMillimetres - (minute >= 720 ? SlipMillimetres : 0);
            var dropsOut = random.NextDouble() < 0.01;
            yield return new(minute * 60_000L, dropsOut ? 0 : level + (int)Math.Round(4 * Normal()));
        }
    }

    private static double Volume(PitShape shape, double millimetres)
    {
        var below = (int)Math.Floor(millimetres);
        var (low, high) = (shape.VolumeCubicMetres(below), shape.VolumeCubicMetres(below + 1));
        return low + (millimetres - below) * (high - low);
    }

    private static ToldVolume Told(string witness, double cubicMetres, double deviation) =>
        new(witness, Millilitres(cubicMetres), Millilitres(deviation), "drawn");

    private static long Millilitres(double cubicMetres) => (long)Math.Round(cubicMetres * 1e6);

    private double Normal() =>
        Math.Sqrt(-2 * Math.Log(1 - random.NextDouble())) * Math.Cos(2 * Math.PI * random.NextDouble());
}
