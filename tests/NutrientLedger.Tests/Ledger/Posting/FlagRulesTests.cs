using NutrientLedger.Journal;
using NutrientLedger.Journal.Readings;
using NutrientLedger.Journal.Spreading;
using NutrientLedger.Ledger.Configuration;
using NutrientLedger.Ledger.Lines;

namespace NutrientLedger.Tests.Ledger.Posting;

public class FlagRulesTests
{
    /// <summary>One interval of the pass, in mL.</summary>
    private const long Step = 30_000;

    private static readonly ReadingLimitsSet Limits = new(
        null,
        Some.Morning.AddDays(-1),
        [
            new(LimitedQuantity.TotalNitrogen, 1_000, 5_000, "invented"),
            new(LimitedQuantity.FlowWhileEngaged, 2_000, 40_000, "invented"),
            new(LimitedQuantity.FlowWhileDisengaged, null, 30_000, "invented"),
            new(LimitedQuantity.Speed, 500, 3_000, "invented"),
            new(LimitedQuantity.Width, 6_000, 12_000, "invented"),
        ]
    );

    [Fact]
    public void A_sound_pass_is_not_flagged() => Assert.Empty(Flags(reading => reading, Limits).ByRule);

    [Theory]
    [InlineData(999, true)]
    [InlineData(1_000, false)]
    [InlineData(5_000, false)]
    [InlineData(5_001, true)]
    public void A_content_is_flagged_beyond_its_limits_and_not_at_them(int totalNitrogen, bool flagged)
    {
        var flags = Flags(
            reading =>
                reading with
                {
                    TotalNitrogenMilligramsPerLitre = totalNitrogen,
                    AmmoniumNitrogenMilligramsPerLitre = null,
                },
            Limits
        );

        var expected = flagged ? (1, Step, (Int128)Step * totalNitrogen) : default;
        foreach (var rule in new[] { FlagRule.ContentOutOfRange, FlagRule.Any })
            Assert.Equal(
                expected,
                (flags[rule].Intervals, flags[rule].Millilitres, flags[rule].TotalNitrogen.WeightedSum)
            );
    }

    [Fact]
    public void Without_limits_only_what_contradicts_itself_is_flagged()
    {
        Assert.Empty(Flags(reading => reading with { TotalNitrogenMilligramsPerLitre = 50_000 }).ByRule);
        var above = Flags(reading => reading with { AmmoniumNitrogenMilligramsPerLitre = 4_001 });
        Assert.Equal([FlagRule.Any, FlagRule.AmmoniumAboveTotal], above.ByRule.Select(part => part.Key));
    }

    /// <summary>All nitrogen may be ammonium; ammonium cannot exceed total nitrogen (arithmetic).</summary>
    [Fact]
    public void Ammonium_equal_to_total_nitrogen_is_not_flagged() =>
        Assert.Empty(Flags(reading => reading with { AmmoniumNitrogenMilligramsPerLitre = 4_000 }).ByRule);

    [Fact]
    public void A_silent_sensor_is_flagged_unless_a_person_voided_its_contents()
    {
        static SpreadReading Silent(SpreadReading reading) =>
            reading with
            {
                DryMatterPartsPerMillion = null,
                TotalNitrogenMilligramsPerLitre = null,
                AmmoniumNitrogenMilligramsPerLitre = null,
                PhosphorusMilligramsPerLitre = null,
                PotassiumMilligramsPerLitre = null,
            };
        var voided = new ReadingsVoided(
            "void-1",
            Some.DragLine,
            TelemetryStream.Spread,
            1,
            1,
            9,
            VoidedPart.Composition,
            "Window fouled",
            "Ada Ash"
        );

        Assert.Equal(Step, Flags(Silent)[FlagRule.ContentMissing].TotalNitrogen.MillilitresWithout);
        Assert.Empty(Flags(Silent, voided).ByRule);
        Assert.Empty(Flags(reading => reading, voided).ByRule);
    }

    [Fact]
    public void Engaged_without_flow_is_flagged_where_the_applicator_reports_that_it_is_engaged()
    {
        static SpreadReading Dry(SpreadReading reading) =>
            reading with
            {
                FlowMillilitresPerSecond = 0,
                TotalMillilitres = 1_000_000,
            };

        Assert.Equal(1, Flags(Dry, all: true)[FlagRule.EngagedWithoutFlow].Intervals);
        Assert.Empty(Flags(reading => Dry(reading) with { Engaged = null }, all: true).ByRule);
    }

    [Fact]
    public void Flow_speed_and_width_beyond_the_limits_are_flagged()
    {
        Assert.Equal(
            Step,
            Flags(reading => reading with { SpeedMillimetresPerSecond = 3_001 }, Limits)[
                FlagRule.SpeedOutOfRange
            ].Millilitres
        );
        Assert.Equal(
            Step,
            Flags(reading => reading with { WidthMillimetres = 5_999 }, Limits)[FlagRule.WidthOutOfRange].Millilitres
        );
        var tight = Limits with { Limits = [new(LimitedQuantity.FlowWhileEngaged, null, 29_999, "invented")] };
        Assert.Equal(Step, Flags(reading => reading, tight)[FlagRule.FlowOutOfRange].Millilitres);
    }

    [Fact]
    public void A_meter_that_runs_while_the_tool_is_lifted_is_flagged_beyond_the_limit_and_is_no_part_of_what_was_spread()
    {
        var flags = Flags(reading => reading with { Engaged = false });

        Assert.Equal(Step, flags[FlagRule.FlowWhileDisengaged].Millilitres);
        Assert.Equal(default, flags[FlagRule.Any]);
        Assert.Empty(Flags(reading => reading with { Engaged = false }, Limits).ByRule);
    }

    [Fact]
    public void A_devices_own_limits_replace_the_farms_from_their_moment_on()
    {
        var own = Limits with { EquipmentId = Some.DragLine, ValidFrom = Some.Morning, Limits = [] };
        static SpreadReading Much(SpreadReading reading) => reading with { TotalNitrogenMilligramsPerLitre = 6_000 };

        Assert.Empty(Flags(Much, Limits, own).ByRule);
        Assert.Equal(
            1,
            Flags(Much, Limits, own with { ValidFrom = Some.Morning.AddSeconds(1) })[FlagRule.Any].Intervals
        );
    }

    [Fact]
    public void Shares_are_parts_of_the_volume_and_of_each_mass()
    {
        var pass = new Pass(5)
        {
            Change = (second, reading) =>
                second == 1 ? reading with { TotalNitrogenMilligramsPerLitre = 8_000 } : reading,
        };
        var accumulator = Some.Posted(
            Some.Configuration([.. Some.ConfigurationEvents(), Limits]),
            Some.Batch(pass.Drive())
        );

        var any = SpreadAmounts.Of(FarmConfiguration.Empty, accumulator.Lines).FlaggedByRule.First();

        Assert.Equal(
            (FlagRule.Any, 0.25, 0.4, 0.25),
            (any.Rule, any.ShareOfVolume, any.ShareOfTotalNitrogen, any.ShareOfPotassium)
        );
    }

    private static FlaggedParts Flags(Func<SpreadReading, SpreadReading> change, params IJournalEvent[] more) =>
        Flags(change, false, more);

    private static FlaggedParts Flags(Func<SpreadReading, SpreadReading> change, bool all, params IJournalEvent[] more)
    {
        var pass = new Pass(2) { Change = (second, reading) => second == 0 || all ? change(reading) : reading };
        var accumulator = Some.Posted(
            Some.Configuration([.. Some.ConfigurationEvents(), .. more]),
            Some.Batch(pass.Drive())
        );
        return accumulator.Lines.Values.Aggregate(FlaggedParts.None, (sum, line) => sum + line.Flagged);
    }
}
