using Microsoft.AspNetCore.Http;
using Microsoft.AspNetCore.Http.HttpResults;
using NutrientLedger.Journal;
using NutrientLedger.Ledger.Adoption;
using NutrientLedger.Ledger.Configuration;
using NutrientLedger.Persistence.Configuration;
using NutrientLedger.Persistence.Queries;
using NutrientLedger.Web.Contracts.Sampling;
using NutrientLedger.Web.Http;
using NutrientLedger.Web.Queries.Sampling;

namespace NutrientLedger.Web.Commands;

/// <summary>Previews or records a calibration or its withdrawal and reports the changes, field by field.</summary>
internal sealed class CalibrationHandler(
    ConfigurationStore configurations,
    CalibrationPreview preview,
    SampleReader samples
)
{
    public async Task<Results<Ok<CorrectionResponse>, ProblemHttpResult>> AdoptAsync(
        ConfigurationSnapshot at,
        CalibrationRequest request,
        bool isStored,
        CancellationToken cancellationToken
    )
    {
        var configuration = at.Configuration;
        var candidate = CalibrationMapping.Candidate(request);
        var check = AdoptionCheck.Of(candidate, configuration, isStored ? Adopter.Person : Adopter.Nobody);
        if (check.Calibration is not { } @event)
            return Problem(check, candidate, configuration);
        var warnings = await Pairing.WarningsAsync(samples, at.FarmId, configuration, @event, cancellationToken);
        return await CorrectAsync(at, @event.CalibrationId, @event, warnings, isStored, cancellationToken);
    }

    public async Task<Results<Ok<CorrectionResponse>, ProblemHttpResult>> WithdrawAsync(
        ConfigurationSnapshot at,
        string id,
        CalibrationWithdrawalRequest request,
        bool isStored,
        CancellationToken cancellationToken
    )
    {
        var configuration = at.Configuration;
        var check = WithdrawalCheck.Of(id, request.By, request.Reason, configuration);
        if (check.Withdrawal is not { } @event)
            return check.Problem switch
            {
                WithdrawalProblem.NotInForce => ApiProblem.Unknown(
                    "calibration in force",
                    id,
                    at.FarmId,
                    configuration.Calibrations.Adopted.Select(adopted => adopted.CalibrationId)
                ),
                WithdrawalProblem.NameMissing => ApiProblem.BadValue("by", "", "Write who withdraws the calibration."),
                _ => ApiProblem.BadValue("reason", "", "Write the reason for the withdrawal."),
            };
        return await CorrectAsync(at, id, @event, [], isStored, cancellationToken);
    }

    private static ProblemHttpResult Problem(
        AdoptionCheck check,
        CalibrationCandidate candidate,
        FarmConfiguration configuration
    )
    {
        var problems = check.Problems.Select(it => AdoptionProblemMapping.Of(it, candidate, configuration)).ToArray();
        return check.Problems[0].Code switch
        {
            AdoptionProblemCode.IdTaken => ApiProblem.Conflict(
                $"Calibration \"{candidate.CalibrationId}\" already exists.",
                $"{problems[0].Fix}."
            ),
            AdoptionProblemCode.IdReserved => BadValue("calibration id", $"{problems[0].Fix}."),
            _ => BadValue("calibration", $"{string.Join("; ", problems.Select(it => $"{it.Property}: {it.Fix}"))}."),
        };

        ProblemHttpResult BadValue(string what, string whatToDo) =>
            ApiProblem.BadValue(what, candidate.CalibrationId ?? "", whatToDo);
    }

    private async Task<Results<Ok<CorrectionResponse>, ProblemHttpResult>> CorrectAsync(
        ConfigurationSnapshot at,
        string id,
        IJournalEvent @event,
        IReadOnlyList<string> warnings,
        bool isStored,
        CancellationToken cancellationToken
    )
    {
        var (position, changes) = await preview.ChangesAsync(
            at,
            [@event],
            at.Configuration.With(@event),
            cancellationToken
        );
        try
        {
            if (isStored)
                await configurations.RecordAsync(at.FarmId, at.Version, [@event], cancellationToken);
        }
        catch (ConfigurationConflictException)
        {
            return ApiProblem.Changed();
        }
        return TypedResults.Ok(new CorrectionResponse(at.FarmId, id, isStored, position, changes, warnings));
    }
}
