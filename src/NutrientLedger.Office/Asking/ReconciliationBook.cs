using System.Text.Json;
using NutrientLedger.Agronomy.Storage;
using NutrientLedger.Ledger;
using NutrientLedger.Office.Answers;

namespace NutrientLedger.Office.Asking;

/// <summary>Writes out how a pit's story was reconciled.</summary>
internal static class ReconciliationBook
{
    public const string Running = "running";

    public const string NotOver =
        "Not over yet: what was recorded by hand may be of hours whose readings are still to come.";

    public static ReconciliationAnswer Answer(ReckonedPit reckoned) =>
        new(
            reckoned.FarmId,
            reckoned.Pit.PitId,
            reckoned.From,
            reckoned.To,
            reckoned.Position,
            [.. reckoned.Days.Select(one => Day(one.Day, one.Statement, one.IsRunning))],
            Whole(reckoned.Whole, reckoned.IsRunning),
            ReconciliationAnswer.UsualCaution
        );

    private static ReconciledDay Day(DateOnly day, PitStatement statement, bool isRunning) =>
        new(
            day,
            isRunning ? Running : Word(statement.Reconciliation.Verdict),
            statement.Reconciliation.Story.UnexplainedMillilitres / 1e6,
            Chance(statement),
            statement.Reconciliation.Story.Drawings.Sum(drawing => drawing.Metered.Millilitres) / 1e6,
            isRunning ? NotOver : statement.Finding
        );

    private static ReconciledPeriod Whole(PitStatement statement, bool isRunning)
    {
        var story = statement.Reconciliation.Story;
        return new(
            isRunning ? Running : Word(statement.Reconciliation.Verdict),
            Chance(statement),
            story.Stock?.StartMillilitres,
            story.Inflow.Sum(told => told.Millilitres),
            story.Outflow.Sum(told => told.Millilitres),
            story.Drawings.Sum(drawing => drawing.Metered.Millilitres),
            story.Stock?.EndMillilitres,
            story.UnexplainedMillilitres,
            isRunning ? NotOver : statement.Finding,
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
            statement.DrawnDownByFilterMillilitres
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

    private static string Word(PitVerdict verdict) => JsonNamingPolicy.CamelCase.ConvertName(verdict.ToString());
}
