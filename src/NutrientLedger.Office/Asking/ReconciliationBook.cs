using System.Text.Json;
using NutrientLedger.Agronomy.Storage;
using NutrientLedger.Office.Answers;

namespace NutrientLedger.Office.Asking;

/// <summary>Writes out how a pit's story was reconciled.</summary>
internal static class ReconciliationBook
{
    private const string NotOver =
        "Not over yet: reckoned up to now, and readings and records of these hours may still be on their way.";

    private const string NotTested = "Nothing is tested before the time asked for is over.";

    public static ReconciliationAnswer Answer(ReckonedPit reckoned) =>
        new(
            reckoned.FarmId,
            reckoned.Pit.PitId,
            reckoned.From,
            reckoned.To,
            reckoned.Position,
            [.. reckoned.Days.Select(Day)],
            Whole(reckoned.Whole),
            ReconciliationAnswer.UsualCaution,
            reckoned.ReckonedTo,
            reckoned.IsBeingCorrected
        );

    /// <summary>What was found; of a stretch that is not over, nothing yet.</summary>
    public static string Finding(ReckonedStretch stretch, Func<double, string>? volume = null) =>
        stretch.IsOver ? PitFinding.Of(stretch.Statement.Reconciliation, volume) : NotOver;

    /// <summary>How the level moved while nothing was drawn; of a stretch that is not over, nothing yet.</summary>
    public static string? IdleFinding(ReckonedStretch stretch, Func<double, string>? volume = null) =>
        stretch.IsOver ? stretch.Statement.IdleFinding(volume) : null;

    private static ReconciledDay Day(ReckonedDay day)
    {
        var reconciliation = day.Statement.Reconciliation;
        return new(
            day.Day,
            Verdict(day),
            reconciliation.Story.UnexplainedMillilitres / 1e6,
            Chance(day),
            reconciliation.Story.Drawings.Sum(drawing => drawing.Metered.Millilitres) / 1e6,
            Finding(day)
        );
    }

    private static ReconciledPeriod Whole(ReckonedStretch whole)
    {
        var statement = whole.Statement;
        var story = statement.Reconciliation.Story;
        return new(
            Verdict(whole),
            Chance(whole),
            story.Stock?.StartMillilitres,
            story.Inflow.Sum(told => told.Millilitres),
            story.Outflow.Sum(told => told.Millilitres),
            story.Drawings.Sum(drawing => drawing.Metered.Millilitres),
            story.Stock?.EndMillilitres,
            story.UnexplainedMillilitres,
            Finding(whole),
            [.. statement.Reconciliation.Witnesses.Select(witness => Witness(whole, witness))],
            statement.OnFields.VolumeCubicMetres,
            statement.OutsideFields.VolumeCubicMetres,
            statement.OnFields.DisengagedCubicMetres + statement.OutsideFields.DisengagedCubicMetres,
            statement.OnFields.NotPlacedCubicMetres + statement.OutsideFields.NotPlacedCubicMetres,
            [
                .. statement.DrawnNutrients.Select(drawn => new DrawnNutrientAnswer(
                    drawn.Name,
                    drawn.MeanKilogramsPerCubicMetre,
                    drawn.ByMeterKilograms,
                    drawn.ReconciledKilograms,
                    drawn.UnexplainedKilograms
                )),
            ],
            [
                .. statement.StoredNutrients.Select(stored => new StoredNutrientAnswer(
                    stored.Name,
                    stored.Kilograms,
                    statement.Period.Register.Calendar!.OnTheClock(stored.MeasuredAtMilliseconds),
                    stored.AgeDays
                )),
            ],
            statement.DaysOfRoom,
            statement.Period.Levels.Kept.Count(level => statement.Period.Holds(level.AtMilliseconds)),
            statement.Period.Levels.SetAside.Count(level => statement.Period.Holds(level.AtMilliseconds)),
            statement.Notes,
            whole.IsOver ? PitFinding.Test(statement.Reconciliation) : NotTested,
            statement.DrawnDownByFilterMillilitres,
            statement.FromNoPit.MeteredCubicMetres,
            IdleFinding(whole)
        );
    }

    private static WitnessAnswer Witness(ReckonedStretch whole, PitWitness witness)
    {
        var reconciliation = whole.Statement.Reconciliation;
        var flow = reconciliation.Balance?.Flows.FirstOrDefault(flow => flow.Name == witness.Name);
        return new(
            witness.Name,
            witness.Told,
            witness.Deviation,
            witness.KnownFrom,
            flow?.Amount,
            flow?.StandardDeviation,
            whole.IsOver ? flow?.NormalizedAdjustment : null,
            whole.IsOver ? PitFinding.Test(reconciliation, witness.Name) : ReconciliationAnswer.NotTested
        );
    }

    // What is not over has not been told in full, so a difference says nothing yet and no alarm is given.
    private static double? Chance(ReckonedStretch stretch) =>
        stretch
            is { IsOver: true, Statement.Reconciliation: { Verdict: not PitVerdict.CannotTell, Balance: var balance } }
            ? balance?.Chance
            : null;

    private static string Verdict(ReckonedStretch stretch) =>
        stretch.IsOver
            ? JsonNamingPolicy.CamelCase.ConvertName(stretch.Statement.Reconciliation.Verdict.ToString())
            : ReconciliationAnswer.Running;
}
