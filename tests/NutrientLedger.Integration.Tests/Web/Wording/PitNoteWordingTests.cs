using NutrientLedger.Journal.Storage;
using NutrientLedger.Ledger.Levels;
using NutrientLedger.Ledger.Readings;
using NutrientLedger.Ledger.Storage;
using NutrientLedger.Web.Wording;

namespace NutrientLedger.Integration.Tests.Web.Wording;

/// <summary>Notes and findings, in sentences from their codes and data.</summary>
public class PitNoteWordingTests
{
    public static TheoryData<PitNote, string> Notes =>
        new()
        {
            { new PitNote.NoLevelSensor(true), "No level sensor is mounted in this pit. The tape stands in for it." },
            { new PitNote.LevelUnknown(true, true, false), "period's beginning and end. No two tape readings" },
            { new PitNote.LevelUnknown(true, false, true), "of the period's beginning. The tape" },
            { new PitNote.LevelUnknown(false, true, true), "of the period's end. The tape" },
            { new PitNote.MeterUnknown(3), "In 3 intervals" },
            { new PitNote.MeterUnknown(1), "In 1 interval the metered amount" },
            { new PitNote.BetweenUnknown(2), "No readings came for a while: 2 times." },
            { new PitNote.BetweenSplit(1_040.6, 20.3), "1,040.600 m³ were metered between readings on both sides" },
            { new PitNote.BetweenSplit(40.6, 20.3), "by time, 20.300 m³ count here" },
            { new PitNote.BetweenPits(40.6), "40.600 m³ were metered between readings while the source changed" },
            { new PitNote.BetweenNotKnown(), "known only for now, not as of an earlier position" },
            { new PitNote.NothingDrawn(), "Nothing was drawn by meter." },
            { new PitNote.SourceUnknown("line"), "line ran in this period without a recorded source pit" },
            { new PitNote.EvaporationAssumedZero(), "Evaporation was not measured" },
            { new PitNote.Observed(PitNoteKind.Settled, "Thick below"), "Settled into layers: Thick below" },
        };

    public static TheoryData<FindingStrength, string> Strengths =>
        new()
        {
            { new FindingStrength.Alike(200), "the same to the last digit in 200 readings, while other values moved" },
            {
                new FindingStrength.Far(1, 7.4, 3100, 2310),
                "1 reading, up to 7 times the typical deviation from the readings around: 3100 where 2310 is typical"
            },
            { new FindingStrength.Trend(-0.31, -5), "fell by 31 % all along (5 standard errors from standing still)" },
            { new FindingStrength.Trend(0.31, 5), "rose by 31 % all along (5 standard errors from standing still)" },
        };

    [Theory]
    [MemberData(nameof(Notes))]
    public void Every_note_has_a_sentence(PitNote note, string words) =>
        Assert.Contains(words, PitNoteWording.Of(note), StringComparison.Ordinal);

    [Theory]
    [MemberData(nameof(Strengths))]
    public void The_strength_of_a_finding_has_a_sentence(FindingStrength strength, string words) =>
        Assert.StartsWith(words, FindingWording.Of(strength), StringComparison.Ordinal);

    [Fact]
    public void Levels_outside_the_shape_are_counted_in_words()
    {
        var inside = new PitInventory(
            "tank",
            [],
            [],
            Between: null,
            FullMetres: 3,
            FullCubicMetres: 100,
            Hours: 9,
            HoursOutsideShape: 0
        );

        Assert.Empty(PitNoteWording.Of(inside));
        Assert.StartsWith(
            "In 2 of 9 hours a level lay outside the pit's shape",
            Assert.Single(PitNoteWording.Of(inside with { HoursOutsideShape = 2 })),
            StringComparison.Ordinal
        );
    }
}
