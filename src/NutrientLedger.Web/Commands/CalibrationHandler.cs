using Microsoft.AspNetCore.Http;
using Microsoft.AspNetCore.Http.HttpResults;
using NutrientLedger.Journal;
using NutrientLedger.Journal.Sampling;
using NutrientLedger.Ledger.Sampling;
using NutrientLedger.Persistence.Configuration;
using NutrientLedger.Web.Contracts.Sampling;
using NutrientLedger.Web.Http;
using NutrientLedger.Web.Queries;
using NutrientLedger.Web.Queries.Sampling;

namespace NutrientLedger.Web.Commands;

/// <summary>Tries or records a correction of the past and says what it changes, field by field.</summary>
internal sealed class CalibrationHandler(FarmQuery farms, ConfigurationStore configurations, CalibrationPreview trial)
{
    public async Task<Results<Ok<CorrectionResponse>, ProblemHttpResult>> AdoptAsync(
        string farm,
        CalibrationRequest request,
        bool isStored,
        CancellationToken cancellationToken
    )
    {
        var result = await farms.FarmAsync(farm, null, cancellationToken);
        if (result.IsProblem)
            return result.Problem;
        var (@event, faults) = CalibrationMapping.Read(request, result.Value.Configuration, isStored);
        if (@event is null)
            return ApiProblem.BadValue(
                "calibration",
                request.Calibration ?? "",
                string.Join("; ", faults.Select(fault => $"{fault.Property}: {fault.Fix}")) + "."
            );
        if (@event.CalibrationId.StartsWith(AdoptionRuling.IdStart, StringComparison.Ordinal))
            return ApiProblem.BadValue(
                "calibration id",
                @event.CalibrationId,
                $"Ids starting with {AdoptionRuling.IdStart} are reserved for the farm's rules. Choose another id."
            );
        if (CalibrationMapping.All(result.Value).Any(known => known.Calibration == @event.CalibrationId))
            return ApiProblem.Conflict(
                $"Calibration \"{@event.CalibrationId}\" already exists.",
                "Choose another id. If two cover the same hours, the later one applies."
            );
        return await CorrectAsync(result.Value, @event.CalibrationId, @event, isStored, cancellationToken);
    }

    public async Task<Results<Ok<CorrectionResponse>, ProblemHttpResult>> WithdrawAsync(
        string farm,
        string id,
        CalibrationWithdrawalRequest request,
        bool isStored,
        CancellationToken cancellationToken
    )
    {
        var result = await farms.FarmAsync(farm, null, cancellationToken);
        if (result.IsProblem)
            return result.Problem;
        var inForce = result.Value.Configuration.Calibrations.Adopted.Select(adopted => adopted.CalibrationId).ToList();
        if (!inForce.Contains(id))
            return ApiProblem.Unknown("calibration in force", id, farm, inForce);
        if (string.IsNullOrWhiteSpace(request.By))
            return ApiProblem.BadValue("by", "", "Write who withdraws the calibration.");
        if (string.IsNullOrWhiteSpace(request.Reason))
            return ApiProblem.BadValue("reason", "", "Write the reason for the withdrawal.");
        var @event = new CalibrationWithdrawn(id, request.By, request.Reason);
        return await CorrectAsync(result.Value, id, @event, isStored, cancellationToken);
    }

    private async Task<Results<Ok<CorrectionResponse>, ProblemHttpResult>> CorrectAsync(
        ConfigurationSnapshot at,
        string id,
        IJournalEvent @event,
        bool isStored,
        CancellationToken cancellationToken
    )
    {
        var (position, changes) = await trial.ChangesAsync(at, at.Configuration.With(@event), cancellationToken);
        try
        {
            if (isStored)
                await configurations.RecordAsync(at.FarmId, at.Version, [@event], cancellationToken);
        }
        catch (ConfigurationConflictException)
        {
            return ApiProblem.Changed();
        }
        return TypedResults.Ok(new CorrectionResponse(at.FarmId, id, isStored, position, changes));
    }
}
