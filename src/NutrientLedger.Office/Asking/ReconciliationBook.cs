using System.Text.Json;
using NutrientLedger.Agronomy.Storage;
using NutrientLedger.Ledger;
using NutrientLedger.Office.Answers;

namespace NutrientLedger.Office.Asking;

/// <summary>Writes out how a pit's story was reconciled.</summary>
internal static class ReconciliationBook
{
    private const string NotOver =
        "Not over yet: reckoned up to now, and readings and records of these hours may still be on their way.";

    public static ReconciliationAnswer Answer(ReckonedPit reckoned) =>
        new(
            reckoned.FarmId,
            reckoned.Pit.PitId,
            reckoned.From,
            reckoned.To,
            reckoned.Position,
            [.. reckoned.Days.Select(Day)],
            Whole(reckoned.Whole),
            ReconciliationAnswer.UsualCaution
        );

    /// <summary>What was found; of a stretch that is not over, nothing yet.</summary>
    public static string Finding(ReckonedStretch stretch, Func<double, string>? volume = null) =>
        stretch.IsOver ? PitFinding.Of(stretch.Statement.Reconciliation, volume) : NotOver;

    private static ReconciledDay Day(ReckonedDay day)
    {
        var reconciliation = day.Statement.Reconciliation;
        return new(
            day.Day,
            Verdict(day),
            reconciliation.Story.UnexplainedMillilitres / 1e6,
            Chance(day.Statement),
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
            Chance(statement),
            story.Stock?.StartMillilitres,
            story.Inflow.Sum(told => told.Millilitres),
            story.Outflow.Sum(told => told.Millilitres),
            story.Drawings.Sum(drawing => drawing.Metered.Millilitres),
            story.Stock?.EndMillilitres,
            story.UnexplainedMillilitres,
            Finding(whole),
            [.. statement.Reconciliation.Witnesses.Select(witness => Witness(statement.Reconciliation, witness))],
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
                    DateTimeOffset.FromUnixTimeMilliseconds(stored.MeasuredAtMilliseconds),
                    stored.AgeDays
                )),
            ],
            statement.DaysOfRoom,
            statement.Period.Levels.Kept.Count(level => statement.Period.Holds(level.AtMilliseconds)),
            statement.Period.Levels.SetAside.Count(level => statement.Period.Holds(level.AtMilliseconds)),
            statement.Notes,
            PitFinding.Test(statement.Reconciliation),
            statement.DrawnDownByFilterMillilitres,
            statement.FromNoPit.MeteredCubicMetres,
            statement.IdleFinding()
        );
    }

    private static WitnessAnswer Witness(PitReconciliation reconciliation, PitWitness witness)
    {
        var flow = reconciliation.Balance?.Flows.FirstOrDefault(flow => flow.Name == witness.Name);
        return new(
            witness.Name,
            witness.Told,
            witness.Deviation,
            witness.KnownFrom,
            flow?.Amount,
            flow?.StandardDeviation,
            flow?.NormalizedAdjustment,
            PitFinding.Test(reconciliation, witness.Name)
        );
    }

    private static double? Chance(PitStatement statement) =>
        statement.Reconciliation.Verdict == PitVerdict.CannotTell ? null : statement.Reconciliation.Balance?.Chance;

    private static string Verdict(ReckonedStretch stretch) =>
        stretch.IsOver
            ? JsonNamingPolicy.CamelCase.ConvertName(stretch.Statement.Reconciliation.Verdict.ToString())
            : ReconciliationAnswer.Running;
}
