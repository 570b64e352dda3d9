using NutrientLedger.Agronomy.Storage;
using NutrientLedger.Journal.Spreading;
using NutrientLedger.Journal.Storage;

namespace NutrientLedger.Ledger.Storage;

/// <summary>What a reader must know beside the figures: what was not measured and why, and what people noted.</summary>
internal static class PitNotes
{
    public static IEnumerable<string> On(PitPeriod period, PitBalanceInput input)
    {
        if (input.Sensor is null)
            yield return NoSensor(period)
                + (
                    input.Tape is null
                        ? " No two tape readings around the drawing stand in for it: the pit's own sum cannot be made."
                        : " The tape stands in for it."
                );
        if (period.Drawn.Sum(line => line.Value.UnknownIntervals) is > 0 and var unknown)
            yield return $"In {unknown} intervals nobody can know what ran through a meter; metered volume is at least this much.";
        if (input.Draws.Length == 0)
            yield return "Nothing was drawn by meter.";
        foreach (var applicator in FromNoPit(period))
            yield return $"{applicator} ran in this period while no source said from which pit; give it one from an earlier moment (\"sources\" in the farm file), else it is in no pit's sum.";
        if (input.Outflow.Any(flow => flow.Measurement == PitWeather.EvaporationUnmeasured))
            yield return "Evaporation was not measured and is not reckoned; it is taken as nothing, with an error as large as it usually is. "
                + "Open liquid loses 0 to 8 mm (0 to 0.3 in) on a day, less under crust or foam (order of magnitude, common practice, no source).";
        foreach (var note in period.Configuration.Recorded<PitNoted>().Where(note => note.PitId == period.Pit.PitId))
            if (period.Share(note.From, note.Until) > 0)
                yield return $"{InWords(note.Kind)}: {note.Text}";
    }

    private static string NoSensor(PitPeriod period) =>
        !period.Configuration.Sensors.Any(it => it.Place == SensorPlace.InPit && it.HostId == period.Pit.PitId)
            ? "No level sensor is mounted in this pit."
            : $"The level sensor told nothing within half a day of the {Silent(period)}.";

    private static string Silent(PitPeriod period) =>
        (period.Levels.MillimetresAt(period.From), period.Levels.MillimetresAt(period.Until)) switch
        {
            (null, null) => "period's beginning and end",
            (null, _) => "period's beginning",
            _ => "period's end",
        };

    private static IEnumerable<string> FromNoPit(PitPeriod period) =>
        period
            .Lines.Where(line => line.Key.PitId.Length == 0 && period.Holds(line.Key.HourStartSeconds * 1000))
            .Where(line =>
                line.Value.VolumeMillilitres + line.Value.NotPlacedMillilitres + line.Value.DisengagedMillilitres > 0
            )
            .Select(line => line.Key.ApplicatorId)
            .Distinct()
            .Order(StringComparer.Ordinal);

    private static string InWords(PitNoteKind kind) =>
        kind switch
        {
            PitNoteKind.Agitated => "Agitated",
            PitNoteKind.Settled => "Settled into layers",
            _ => "Foam or crust",
        };
}
