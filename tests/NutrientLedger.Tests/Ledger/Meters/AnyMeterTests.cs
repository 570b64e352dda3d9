using System.Globalization;

namespace NutrientLedger.Tests.Ledger.Meters;

/// <summary>
/// Conservation of volume (common practice, no source): whatever a meter does and however its readings arrive, last
/// total − first total = posted + between readings + unknown + steps.
/// </summary>
public class AnyMeterTests
{
    private const string Seed = "NUTRIENT_LEDGER_TEST_SEED";

    /// <summary>300 seeds, or the one that the environment names.</summary>
    public static TheoryData<int> Seeds =>
        int.TryParse(Environment.GetEnvironmentVariable(Seed), CultureInfo.InvariantCulture, out var one)
            ? [one]
            : [.. Enumerable.Range(1, 300)];

    [Theory]
    [MemberData(nameof(Seeds))]
    public void Nothing_that_a_meter_counted_vanishes_over_boots_resets_gaps_and_late_backlogs(int seed)
    {
        var random = new Random(seed);
        var meter = new InventedMeter(seed);
        var received = new ReceivedMeter(meter);
        var messages = Messages(meter, random);
        random.Shuffle(messages);

        foreach (var (boot, first, last) in messages)
        {
            received.Arrive(boot, first, last);
            Check(meter, received, seed);
        }

        // All gaps are closed, so only the times between boots are left.
        Assert.Equal(meter.Boots.Count - 1, received.Interruptions.Count);
        Assert.DoesNotContain(received.Interruptions, between => between.IsGap);
    }

    private static void Check(InventedMeter meter, ReceivedMeter received, int seed)
    {
        var between = received.Interruptions;
        var unknown = received.Pairs.Where(pair => received.Volume(pair.From, pair.To) is null).ToList();
        var (first, last) = (received.Received[0], received.Received[^1]);
        var known = received.Posted + between.Sum(one => one.Millilitres ?? 0);

        Assert.Equal(unknown.Count, received.UnknownIntervals);
        var ranUnknown =
            unknown.Sum(pair => Ran(pair.To) - Ran(pair.From))
            + between
                .Where(one => one.Millilitres is null)
                .Sum(one => meter.Ran(one.After.Boot, one.After.Seq) - meter.Ran(one.Before.Boot, one.Before.Seq));
        Same(Ran(last) - Ran(first), known + ranUnknown, "What is known is not what truly ran");

        // Without a total there is no difference of totals.
        if (meter.HasDropouts)
            return;
        var steps =
            between.Sum(one => one.Difference.StepMillilitres)
            + received.Pairs.Sum(pair =>
                Total(pair.To) - Total(pair.From) - (received.Volume(pair.From, pair.To) ?? 0)
            );
        Same(Total(last) - Total(first), known + steps, "Last total − first total is not volume + steps");

        long Ran((long Boot, long Seq) at) => meter.Ran(at.Boot, at.Seq);
        long Total((long Boot, long Seq) at) => received.Reading(at).TotalMillilitres!.Value;
        void Same(long expected, long actual, string what) =>
            Assert.True(
                expected == actual,
                $"{what}: {actual} for {expected} mL. "
                    + $"To repeat: {Seed}={seed} dotnet test tests/NutrientLedger.Tests --filter {nameof(AnyMeterTests)}"
            );
    }

    private static (long Boot, long First, long Last)[] Messages(InventedMeter meter, Random random)
    {
        var messages = new List<(long, long, long)>();
        foreach (var boot in meter.Boots)
            for (var first = 1; first <= boot.Readings.Length; )
            {
                var last = Math.Min(boot.Readings.Length, first + random.Next(20));
                messages.Add((boot.Boot, first, last));
                // Some are sent again, cut otherwise.
                if (random.Next(4) == 0)
                    messages.Add((boot.Boot, Math.Max(1, first - random.Next(10)), last));
                first = last + 1;
            }
        return [.. messages];
    }
}
