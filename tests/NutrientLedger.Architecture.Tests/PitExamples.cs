using NutrientLedger.Journal;
using NutrientLedger.Journal.Spreading;
using NutrientLedger.Journal.Storage;

namespace NutrientLedger.Architecture.Tests;

/// <summary>One example of every pit event recorded by hand.</summary>
internal static class PitExamples
{
    private static readonly DateTimeOffset Moment = new(2026, 4, 14, 10, 0, 0, 500, TimeSpan.FromHours(-5));

    public static Dictionary<string, IJournalEvent> All { get; } =
        new()
        {
            ["loads_hauled.json"] = new LoadsHauled(
                "R. Field",
                Moment,
                "north",
                "wagon-1",
                "west",
                12,
                18_000_000,
                950,
                new(4_000_000, DeviationSource.Judged)
            ),
            ["loads_hauled.elsewhere.json"] = new LoadsHauled(
                "R. Field",
                Moment,
                "north",
                null,
                null,
                2,
                9_000_000,
                1_000,
                null
            ),
            ["pit_transferred.json"] = new PitTransferred("R. Field", Moment, "north", "south", 50_000_000, null),
            ["pit_inflow_measured.json"] = new PitInflowMeasured(
                "R. Field",
                "north",
                InflowKind.WashWater,
                Moment,
                Moment.AddDays(1),
                4_200_000,
                new(100_000, DeviationSource.DataSheet)
            ),
            ["daily_inflow_set.json"] = new DailyInflowSet(
                "R. Field",
                "north",
                InflowKind.Manure,
                180,
                68_000,
                Moment,
                new(900_000, DeviationSource.EstimatedFromData)
            ),
            ["pit_surroundings_set.json"] = new PitSurroundingsSet("R. Field", "north", 850, 700, false, Moment),
            ["level_taped.json"] = new LevelTaped(
                "R. Field",
                Moment,
                "north",
                8_700,
                2_100,
                70_000,
                new(15, DeviationSource.CommonPractice)
            ),
            ["pit_noted.json"] = new PitNoted(
                "R. Field",
                "north",
                PitNoteKind.Agitated,
                Moment,
                Moment.AddHours(3),
                "Two pumps"
            ),
            ["evaporation_measured.json"] = new EvaporationMeasured(
                "R. Field",
                "north",
                Moment,
                Moment.AddDays(1),
                4_300,
                null
            ),
            ["default_deviations_set.json"] = new DefaultDeviationsSet(
                "north",
                new(2026, 4, 14),
                [
                    new(PitMeasurement.LevelSensor, 3_500_000, "readings beside a tape in March 2026"),
                    new(PitMeasurement.FlowMeter, 4_000, "runs over the weighbridge"),
                ]
            ),
            ["default_deviations_set.farm.json"] = new DefaultDeviationsSet(
                null,
                new(2025, 10, 1),
                [new(PitMeasurement.Rain, 250_000, "the gauge stands under trees")]
            ),
            ["spreading_rate_set.json"] = new SpreadingRateSet(
                "R. Field",
                "dragline-1",
                "west",
                130_000_000,
                Moment,
                new(4_000_000, DeviationSource.CommonPractice)
            ),
        };
}
