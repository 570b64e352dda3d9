using System.Text.Json;
using NutrientLedger.Agronomy.Balance;
using NutrientLedger.Agronomy.Storage;
using NutrientLedger.Ledger;
using NutrientLedger.Office.Answers;

namespace NutrientLedger.Office.Asking;

/// <summary>Writes out how a pit's story was reconciled.</summary>
internal static class ReconciliationBook
{
    public static ReconciledDay Day(DateOnly day, PitStatement statement) =>
        new(
            day,
            Word(statement.Reconciliation.Verdict),
            statement.Reconciliation.Story.UnexplainedMillilitres / 1e6,
            Chance(statement),
            statement.Reconciliation.Story.Drawings.Sum(drawing => drawing.Metered.Millilitres) / 1e6,
            statement.Finding
        );

    public static ReconciliationAnswer Answer(
        string farm,
        string pit,
        DateOnly from,
        DateOnly to,
        long position,
        IReadOnlyList<ReconciledDay> days,
        PitStatement whole
    ) => new(farm, pit, from, to, position, days, Whole(whole), ReconciliationAnswer.UsualCaution);

    private static ReconciledPeriod Whole(PitStatement statement)
    {
        var story = statement.Reconciliation.Story;
        return new(
            Word(statement.Reconciliation.Verdict),
            Chance(statement),
            story.Stock?.StartMillilitres,
            story.Inflow.Sum(told => told.Millilitres),
            story.Outflow.Sum(told => told.Millilitres),
            story.Drawings.Sum(drawing => drawing.Metered.Millilitres),
            story.Stock?.EndMillilitres,
            story.UnexplainedMillilitres,
            statement.Finding,
            [.. statement.Reconciliation.Balance?.Flows.Select(flow => Witness(flow, KnownFrom(story))) ?? []],
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
            statement.Notes
        );
    }

    private static WitnessAnswer Witness(
        ReconciledFlow flow,
        Dictionary<string, (long Deviation, string KnownFrom)> told
    )
    {
        var known = told.TryGetValue(flow.Name, out var own);
        return new(
            flow.Name,
            flow.Measured ?? 0,
            known ? own.Deviation / 1e6 : 0,
            known ? own.KnownFrom : null,
            flow.Amount,
            flow.StandardDeviation,
            flow.NormalizedAdjustment
        );
    }

    private static Dictionary<string, (long Deviation, string KnownFrom)> KnownFrom(PitStory story)
    {
        var told = new Dictionary<string, (long, string)>();
        foreach (var stock in new[] { story.Sensor, story.Tape }.OfType<ToldStock>())
            told[stock.Witness] = (stock.DeviationMillilitres, stock.KnownFrom);
        foreach (
            var one in story
                .Inflow.Concat(story.Outflow)
                .Concat(story.Drawings.SelectMany(drawing => new[] { drawing.Metered, drawing.ByRate }))
                .OfType<ToldVolume>()
        )
            told[one.Witness] = (one.DeviationMillilitres, one.KnownFrom);
        return told;
    }

    private static double? Chance(PitStatement statement) =>
        statement.Reconciliation.Verdict == PitVerdict.CannotTell ? null : statement.Reconciliation.Balance?.Chance;

    private static string Word(PitVerdict verdict) => JsonNamingPolicy.CamelCase.ConvertName(verdict.ToString());
}
