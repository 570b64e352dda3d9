using System.Collections.Immutable;
using CsCheck;
using NutrientLedger.Agronomy.Spreading;

namespace NutrientLedger.Tests.Agronomy.Spreading;

/// <summary>
/// Plug flow: the liquid moves as one column (University of California, installing flow meters on dairies, seen). No
/// worked example was found.
/// </summary>
public sealed class PlugFlowTests
{
    private static readonly Gen<ImmutableArray<PumpedContent>> Pumped = Gen.Select(
            Gen.Long[0, 1_000_000],
            Gen.Select(Gen.Int[0, 90_000], Gen.Int[-1_000, 9_000]).Array[1, 40]
        )
        .Select(
            (start, steps) =>
            {
                var readings = ImmutableArray.CreateBuilder<PumpedContent>();
                var total = start;
                foreach (var (millilitres, content) in steps)
                {
                    readings.Add(new(total, content < 0 ? null : content));
                    total += millilitres;
                }
                return readings.ToImmutable();
            }
        );

    private static readonly Gen<long> HoseVolume = Gen.Long[0, 500_000];

    [Fact]
    public void What_is_pumped_lands_to_the_last_microgram_however_it_is_cut() =>
        Gen.Select(Pumped, HoseVolume, Gen.Double[0, 1].Array[0, 20])
            .Sample(
                (pumped, hose, cuts) =>
                {
                    var (first, last) = (pumped[0].TotalMillilitres, pumped[^1].TotalMillilitres);
                    // The hose is emptied after the last reading, so that everything measured has left the tool.
                    long[] stops =
                    [
                        first,
                        .. cuts.Order().Select(cut => first + (long)(cut * (last + hose - first))),
                        last + hose,
                    ];
                    var flow = new PlugFlow(pumped, hose);
                    var landed = stops.Zip(stops.Skip(1), flow.Landed).Aggregate((sum, next) => sum + next);

                    var mass = pumped
                        .Zip(pumped.Skip(1), (a, b) => (a.Content ?? 0) * (b.TotalMillilitres - a.TotalMillilitres))
                        .Sum();
                    var unknown = pumped
                        .Zip(pumped.Skip(1), (a, b) => a.Content is null ? b.TotalMillilitres - a.TotalMillilitres : 0)
                        .Sum();
                    Assert.Equal(new LandedContent(mass, unknown + hose), landed);
                }
            );

    [Fact]
    public void What_lands_is_what_was_pumped_one_hose_volume_earlier() =>
        Gen.Select(Pumped, HoseVolume, Gen.Long[0, 2_000_000], Gen.Long[0, 500_000])
            .Sample(
                (pumped, hose, from, volume) =>
                    Assert.Equal(
                        new PlugFlow(pumped, 0).Landed(from, from + volume),
                        new PlugFlow(pumped, hose).Landed(from + hose, from + hose + volume)
                    )
            );

    [Fact]
    public void A_step_at_the_pump_reaches_the_tool_after_the_hoses_volume()
    {
        var flow = new PlugFlow([new(0, 4_000), new(10_000, 2_000), new(90_000, null)], 30_000);
        Assert.Equal(new(0, 30_000), flow.Landed(0, 30_000));
        Assert.Equal(new(4_000L * 10_000, 0), flow.Landed(30_000, 40_000));
        Assert.Equal(new(4_000L * 1_000 + 2_000L * 5_000, 0), flow.Landed(39_000, 45_000));
        Assert.Equal(new(2_000L * 1_000, 9_000), flow.Landed(119_000, 129_000));
    }

    [Fact]
    public void Without_readings_nothing_is_known() => Assert.Equal(new(0, 70), new PlugFlow([], 30_000).Landed(5, 75));

    [Fact]
    public void A_falling_total_a_negative_hose_volume_and_a_reversed_stretch_are_rejected()
    {
        Assert.Throws<ArgumentException>(() => new PlugFlow([new(5, 1), new(4, 1)], 0));
        Assert.Throws<ArgumentOutOfRangeException>(() => new PlugFlow([], -1));
        Assert.Throws<ArgumentOutOfRangeException>(() => new PlugFlow([], 0).Landed(2, 1));
    }
}
