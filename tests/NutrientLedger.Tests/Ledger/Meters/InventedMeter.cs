using NutrientLedger.Journal.Spreading;
using NutrientLedger.Tests.Ledger.Seasons;

namespace NutrientLedger.Tests.Ledger.Meters;

/// <summary>
/// A meter's life made from a seed: boots with pauses, a total that may roll over, be reset, or be sent wrongly once in
/// a boot. What truly ran is known for every reading, so a test can hold the ledger against it. A meter that is reset
/// sends nothing wrongly: nobody can tell a wrong zero and a reset soon after from one of them.
/// </summary>
internal sealed class InventedMeter
{
    private const long CubicMetre = 1_000_000;
    private const long Day = 86_400_000;

    private readonly Random random;
    private readonly bool isReset;
    private readonly Dictionary<(long Boot, long Seq), long> ran = [];
    private long at = Some.Morning.ToUnixTimeMilliseconds();
    private long total;
    private long truth;

    public InventedMeter(int seed)
    {
        random = new(seed);
        Modulus = Chance(50) ? 20_000 * CubicMetre : null;
        HasDropouts = seed % 2 == 0;
        isReset = Chance(50);
        // Some begin just before their total rolls over.
        total =
            Chance(30) && Modulus is { } modulus ? modulus - 60 * CubicMetre : random.Next(6_000, 15_000) * CubicMetre;
        var boots = random.Next(2, 7);
        Boots =
        [
            .. Enumerable
                .Range(1, boots)
                .Select(boot => Drive(boot, mayBeWrong: !isReset && boot % 2 == 0 && boot < boots)),
        ];
    }

    /// <summary>In mL; half of the meters have one.</summary>
    public long? Modulus { get; }

    /// <summary>Whether some readings came without a total.</summary>
    public bool HasDropouts { get; }

    public IReadOnlyList<Series<SpreadReading>> Boots { get; }

    /// <summary>What had truly run at a reading, in mL.</summary>
    public long Ran(long boot, long seq) => ran[(boot, seq)];

    private Series<SpreadReading> Drive(int boot, bool mayBeWrong)
    {
        if (boot > 1)
            Rest();
        var readings = new SpreadReading[random.Next(1, 60)];
        var wrong = mayBeWrong ? random.Next(readings.Length) : -1;
        for (var i = 0; i < readings.Length; i++)
        {
            if (i > 0)
                Work();
            ran[(boot, i + 1)] = truth;
            readings[i] = Some.DragLineReading(at, i == wrong && IsMidway ? Wrong() : total) with
            {
                Engaged = Chance(90),
            };
            if (HasDropouts && Chance(4))
                readings[i] = readings[i] with { TotalMillilitres = null };
        }
        return new(Some.DragLine, boot, readings);
    }

    // Far from both ends of the counter. A reset or a wrong total near them looks like a roll-over to anybody.
    private bool IsMidway => total is >= 5_000 * CubicMetre and <= 15_000 * CubicMetre;

    private long Wrong() => Chance(50) ? 0 : total + 50_000 * CubicMetre;

    // Seconds between readings, now and then much longer.
    private void Work()
    {
        var lasts = Chance(95) ? 1_000 : Pick(0, 400, 9_999, 1_500_000);
        at += lasts;
        if (isReset && Chance(1) && IsMidway)
            total = 0;
        Run(random.Next(80_000));
    }

    // Off for seconds or days. Half of the time nothing runs meanwhile.
    private void Rest()
    {
        var lasts = Pick(1_000, 600_000, Day / 2, 3 * Day);
        at += lasts;
        if (isReset && Chance(15) && IsMidway)
            total = 0;
        Run(Chance(50) ? 0 : random.NextInt64(Math.Min(3_000 * CubicMetre, 500 * lasts)));
    }

    private void Run(long millilitres)
    {
        truth += millilitres;
        total += millilitres;
        if (Modulus is { } modulus && total >= modulus)
            total -= modulus;
    }

    private bool Chance(int percent) => random.Next(100) < percent;

    private long Pick(params long[] choices) => choices[random.Next(choices.Length)];
}
