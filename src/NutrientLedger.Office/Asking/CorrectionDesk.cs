using Microsoft.AspNetCore.Http;
using Microsoft.AspNetCore.Http.HttpResults;
using NutrientLedger.Journal;
using NutrientLedger.Journal.Sampling;
using NutrientLedger.Ledger;
using NutrientLedger.Office.Answers;
using NutrientLedger.Store;

namespace NutrientLedger.Office.Asking;

/// <summary>Tries or records a correction of the past and says what it changes, field by field.</summary>
internal sealed class CorrectionDesk(FarmInquiry farms, RegisterStore registers, CalibrationTrial trial)
{
    public async Task<Results<Ok<CorrectionAnswer>, ProblemHttpResult>> AdoptAsync(
        string farm,
        CalibrationQuestion question,
        bool isStored,
        CancellationToken cancellationToken
    )
    {
        var asked = await farms.FarmAsync(farm, null, cancellationToken);
        if (asked.IsRefused)
            return asked.Refusal;
        var (entry, faults) = CalibrationBook.Read(question, asked.Found.Register, isStored);
        if (entry is null)
            return Refusal.BadValue(
                "a calibration",
                question.Calibration ?? "",
                string.Join("; ", faults.Select(fault => $"{fault.Property}: {fault.WhatToDo}")) + "."
            );
        if (entry.CalibrationId.StartsWith(AdoptionRuling.IdStart, StringComparison.Ordinal))
            return Refusal.BadValue(
                "a calibration",
                entry.CalibrationId,
                $"Ids that begin with {AdoptionRuling.IdStart} are for what the farm's rules adopt; choose another."
            );
        if (CalibrationBook.All(asked.Found).Any(known => known.Calibration == entry.CalibrationId))
            return Refusal.Conflict(
                $"The farm has adopted a calibration \"{entry.CalibrationId}\" before.",
                "Give this one another id; of two for the same hours the one adopted last holds."
            );
        return await CorrectAsync(asked.Found, entry.CalibrationId, entry, isStored, cancellationToken);
    }

    public async Task<Results<Ok<CorrectionAnswer>, ProblemHttpResult>> WithdrawAsync(
        string farm,
        string id,
        WithdrawalQuestion question,
        bool isStored,
        CancellationToken cancellationToken
    )
    {
        var asked = await farms.FarmAsync(farm, null, cancellationToken);
        if (asked.IsRefused)
            return asked.Refusal;
        var inForce = asked.Found.Register.Calibrations.Adopted.Select(adopted => adopted.CalibrationId).ToList();
        if (!inForce.Contains(id))
            return Refusal.Unknown("calibration that could be withdrawn", id, farm, inForce);
        if (string.IsNullOrWhiteSpace(question.WithdrawnBy) || string.IsNullOrWhiteSpace(question.Why))
            return Refusal.BadValue("a withdrawal", id, "Write withdrawnBy and why.");
        var entry = new CalibrationWithdrawn(id, question.WithdrawnBy, question.Why);
        return await CorrectAsync(asked.Found, id, entry, isStored, cancellationToken);
    }

    private async Task<Results<Ok<CorrectionAnswer>, ProblemHttpResult>> CorrectAsync(
        RegisterAt at,
        string id,
        IEntry entry,
        bool isStored,
        CancellationToken cancellationToken
    )
    {
        var (position, changes) = await trial.ChangesAsync(at, at.Register.With(entry), cancellationToken);
        try
        {
            if (isStored)
                await registers.RecordAsync(at.FarmId, at.Place, [entry], cancellationToken);
        }
        catch (RegisterChangedException)
        {
            return Refusal.MovedOn();
        }
        return TypedResults.Ok(new CorrectionAnswer(at.FarmId, id, isStored, position, changes));
    }
}
