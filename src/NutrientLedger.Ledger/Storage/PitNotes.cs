using NutrientLedger.Agronomy.Storage;
using NutrientLedger.Journal.Spreading;
using NutrientLedger.Journal.Storage;

namespace NutrientLedger.Ledger.Storage;

/// <summary>What a reader must know beside the values: what was not measured and why, and what people noted.</summary>
internal static class PitNotes
{
    public static IEnumerable<PitNote> On(PitPeriod period, PitBalanceInput input)
    {
        if (input.Sensor is null)
            yield return NoSensor(period, tapeStandsIn: input.Tape is not null);
        if (period.Drawn.Sum(line => line.Value.UnknownIntervals) is > 0 and var unknown)
            yield return new PitNote.MeterUnknown(unknown);
        foreach (var note in Between(period))
            yield return note;
        if (input.Draws.Length == 0 && !PitInterruptions.Drawn(period).Any())
            yield return new PitNote.NothingDrawn();
        foreach (var applicator in FromNoPit(period))
            yield return new PitNote.SourceUnknown(applicator);
        if (input.Outflow.Any(flow => flow.Measurement == PitWeather.EvaporationUnmeasured))
            yield return new PitNote.EvaporationAssumedZero();
        foreach (var note in period.Configuration.Recorded<PitNoted>().Where(note => note.PitId == period.Pit.PitId))
            if (period.Share(note.From, note.Until) > 0)
                yield return new PitNote.Observed(note.Kind, note.Text);
    }

    private static PitNote NoSensor(PitPeriod period, bool tapeStandsIn)
    {
        if (!period.Configuration.Sensors.Any(it => it.Place == SensorPlace.InPit && it.HostId == period.Pit.PitId))
            return new PitNote.NoLevelSensor(tapeStandsIn);
        var atStart = period.Levels.MillimetresAt(period.From) is null;
        return new PitNote.LevelUnknown(
            atStart,
            AtEnd: !atStart || period.Levels.MillimetresAt(period.Until) is null,
            tapeStandsIn
        );
    }

    private static IEnumerable<PitNote> Between(PitPeriod period)
    {
        if (period.Interruptions is null)
            yield return new PitNote.BetweenNotKnown();
        var ofThisPit = PitInterruptions
            .Touching(period)
            .Where(between => between.Pits.Contains(period.Pit.PitId))
            .ToArray();
        if (ofThisPit.Count(between => between.Millilitres is null) is > 0 and var unknown)
            yield return new PitNote.BetweenUnknown(unknown);
        var split = PitInterruptions
            .Drawn(period)
            .Where(between => between.Share(period.From, period.Until) < 1)
            .ToArray();
        if (split.Length > 0)
            yield return new PitNote.BetweenSplit(
                split.Sum(between => between.Millilitres!.Value) / 1e6,
                PitInterruptions.Expected(split, period.From, period.Until).Millilitres / 1e6
            );
        if (ofThisPit.Where(between => !between.HasOnePit).Sum(between => between.Millilitres) is > 0 and var either)
            yield return new PitNote.BetweenPits(either / 1e6);
    }

    private static IEnumerable<string> FromNoPit(PitPeriod period) =>
        period
            .Lines.Where(line => line.Key.PitId.Length == 0 && period.Holds(line.Key.HourStartSeconds * 1000))
            .Where(line =>
                line.Value.VolumeMillilitres + line.Value.NotPlacedMillilitres + line.Value.DisengagedMillilitres > 0
            )
            .Select(line => line.Key.ApplicatorId)
            .Concat(PitInterruptions.FromNoPit(period).Select(between => between.ApplicatorId))
            .Distinct()
            .Order(StringComparer.Ordinal);
}
