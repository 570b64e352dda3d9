using System.Globalization;
using NutrientLedger.Journal.Storage;
using NutrientLedger.Ledger.Levels;
using NutrientLedger.Ledger.Storage;

namespace NutrientLedger.Web.Wording;

/// <summary>Notes on a pit's values.</summary>
internal static class PitNoteWording
{
    /// <summary>A note on a reconciliation, in whole sentences.</summary>
    public static string Of(PitNote note) =>
        note switch
        {
            PitNote.NoLevelSensor none => "No level sensor is mounted in this pit." + Instead(none.TapeStandsIn),
            PitNote.LevelUnknown unknown =>
                $"The level sensor sent no reading within half a day of the {Silent(unknown)}."
                    + Instead(unknown.TapeStandsIn),
            PitNote.MeterUnknown unknown => string.Create(
                CultureInfo.InvariantCulture,
                $"In {Plural.Of(unknown.Intervals, "interval")} the metered amount is unknown; metered volume is at least this much."
            ),
            PitNote.BetweenUnknown unknown =>
                $"No readings came for a while: {Plural.Of(unknown.Interruptions, "time")}. What the meter counted meanwhile is unknown; what left the pit is at least this much.",
            PitNote.BetweenSplit split => string.Create(
                CultureInfo.InvariantCulture,
                $"{split.CubicMetres:N3} m³ were metered between readings on both sides of the period's beginning or end; by time, {split.CubicMetresHere:N3} m³ count here, and the error includes that."
            ),
            PitNote.BetweenPits pits => string.Create(
                CultureInfo.InvariantCulture,
                $"{pits.CubicMetres:N3} m³ were metered between readings while the source changed; they may have come from this pit and are in no pit balance."
            ),
            PitNote.BetweenNotKnown => MeterWording.NotKnown,
            PitNote.NothingDrawn => "Nothing was drawn by meter.",
            PitNote.SourceUnknown unknown =>
                $"{unknown.ApplicatorId} ran in this period without a recorded source pit; give it a source from an earlier time (\"sources\" in the farm file), else it is in no pit balance.",
            PitNote.EvaporationAssumedZero =>
                "Evaporation was not measured and is assumed zero, with an error as large as it usually is. "
                    + "Open liquid loses 0 to 8 mm (0 to 0.3 in) on a day, less under crust or foam (order of magnitude, common practice, no source).",
            PitNote.Observed observed => $"{Kind(observed.Kind)}: {observed.Text}",
            _ => throw new ArgumentOutOfRangeException(nameof(note), note, "An unknown note."),
        };

    /// <summary>What is wrong with the levels of a pit, and what is unknown of its draws.</summary>
    public static IEnumerable<string> Of(PitInventory inventory)
    {
        if (inventory.HoursOutsideShape > 0)
            yield return string.Create(
                CultureInfo.InvariantCulture,
                $"In {inventory.HoursOutsideShape} of {Plural.Of(inventory.Hours, "hour")} a level lay outside the pit's shape; check the sensor and the registered shape."
            );
        if (inventory.Drawn.Sum(drawn => drawn.UnknownIntervals) is > 0 and var unknown)
            yield return Of(new PitNote.MeterUnknown(unknown));
    }

    private static string Instead(bool tapeStandsIn) =>
        tapeStandsIn
            ? " The tape stands in for it."
            : " No two tape readings around the drawing stand in for it: the pit balance cannot be computed.";

    private static string Silent(PitNote.LevelUnknown unknown) =>
        unknown switch
        {
            { AtStart: true, AtEnd: true } => "period's beginning and end",
            { AtStart: true } => "period's beginning",
            _ => "period's end",
        };

    private static string Kind(PitNoteKind kind) =>
        kind switch
        {
            PitNoteKind.Agitated => "Agitated",
            PitNoteKind.Settled => "Settled into layers",
            _ => "Foam or crust",
        };
}
