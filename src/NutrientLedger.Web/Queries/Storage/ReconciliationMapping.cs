using System.Text.Json;
using NutrientLedger.Agronomy.Storage;
using NutrientLedger.Ledger.Storage;
using NutrientLedger.Web.Contracts.Storage;
using NutrientLedger.Web.Wording;

namespace NutrientLedger.Web.Queries.Storage;

/// <summary>Maps a pit's reconciliation to a response.</summary>
internal static class ReconciliationMapping
{
    private const string NotOver = "Not over yet. Values run up to now; some readings and records may still arrive.";

    private const string NotTested = "Tests run when the period is over.";

    public static ReconciliationResponse Response(ReconciledPit reconciled) =>
        new(
            reconciled.FarmId,
            reconciled.Pit.PitId,
            reconciled.From,
            reconciled.To,
            reconciled.Position,
            [.. reconciled.Days.Select(Day)],
            Whole(reconciled.Whole, reconciled.UnpostedBatches),
            ReconciliationResponse.SafetyNote,
            reconciled.CalculatedTo,
            reconciled.IsBeingCorrected
        );

    /// <summary>The finding; a fixed sentence while the period is not over.</summary>
    public static string Finding(ReconciledSpan stretch, Func<double, string>? volume = null) =>
        stretch.IsOver ? PitFinding.Of(stretch.Statement.Reconciliation, volume) : NotOver;

    /// <summary>How the level moved while nothing was drawn; null while the period is not over.</summary>
    public static string? IdleFinding(ReconciledSpan stretch, Func<double, string>? volume = null) =>
        stretch is { IsOver: true, Statement.MovedWhileIdle: { } moved } ? PitFinding.OfIdle(moved, volume) : null;

    private static ReconciledDayResponse Day(ReconciledPitDay day)
    {
        var reconciliation = day.Statement.Reconciliation;
        return new(
            day.Day,
            Verdict(day),
            reconciliation.Input.UnexplainedMillilitres / 1e6,
            day.Chance,
            reconciliation.Input.DrawnMillilitres / 1e6,
            Finding(day)
        );
    }

    private static ReconciledPeriodResponse Whole(ReconciledSpan whole, int unpostedBatches)
    {
        var statement = whole.Statement;
        var measured = statement.Reconciliation.Input;
        return new(
            Verdict(whole),
            whole.Chance,
            measured.Stock?.StartMillilitres,
            measured.InflowMillilitres,
            measured.OutflowMillilitres,
            measured.DrawnMillilitres,
            measured.Stock?.EndMillilitres,
            measured.UnexplainedMillilitres,
            Finding(whole),
            [.. statement.Reconciliation.MeasuredValues.Select(measurement => Measurement(whole, measurement))],
            statement.OnFields.VolumeCubicMetres,
            statement.OutsideFields.VolumeCubicMetres,
            statement.DisengagedCubicMetres,
            statement.NotPlacedCubicMetres,
            [
                .. statement.DrawnNutrients.Select(drawn => new DrawnNutrientResponse(
                    drawn.Name,
                    drawn.MeanKilogramsPerCubicMetre,
                    drawn.ByMeterKilograms,
                    drawn.ReconciledKilograms,
                    drawn.UnexplainedKilograms
                )),
            ],
            [
                .. statement.StoredNutrients.Select(stored => new StoredNutrientResponse(
                    stored.Name,
                    stored.Kilograms,
                    statement.Period.Configuration.Calendar!.ToFarmTime(stored.MeasuredAtMilliseconds),
                    stored.AgeDays
                )),
            ],
            statement.DaysUntilFull,
            statement.LevelsKept,
            statement.LevelsLeftOut,
            [.. UnpostedWording.Of(unpostedBatches), .. statement.Notes.Select(PitNoteWording.Of)],
            whole.IsOver ? PitFinding.Test(statement.Reconciliation) : NotTested,
            statement.DrawnDownByFilterMillilitres,
            statement.FromNoPit.MeteredCubicMetres + statement.BetweenFromNoPitCubicMetres,
            IdleFinding(whole),
            statement.BetweenReadingsMillilitres
        );
    }

    private static MeasurementResponse Measurement(ReconciledSpan whole, PitMeasuredValue measurement)
    {
        var reconciliation = whole.Statement.Reconciliation;
        var flow = reconciliation.Balance?.Flows.FirstOrDefault(flow => flow.Name == measurement.Name);
        return new(
            measurement.Name,
            measurement.Measured,
            measurement.Deviation,
            measurement.KnownFrom,
            flow?.Amount,
            flow?.StandardDeviation,
            whole.IsOver ? flow?.NormalizedAdjustment : null,
            whole.IsOver ? PitFinding.Test(reconciliation, measurement.Name) : ReconciliationResponse.NotTested
        );
    }

    private static string Verdict(ReconciledSpan stretch) =>
        stretch.Closure is { } closure
            ? JsonNamingPolicy.CamelCase.ConvertName(closure.ToString())
            : ReconciliationResponse.Running;
}
