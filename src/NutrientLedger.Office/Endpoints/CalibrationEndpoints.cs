using Microsoft.AspNetCore.Builder;
using Microsoft.AspNetCore.Http;
using Microsoft.AspNetCore.Http.HttpResults;
using Microsoft.AspNetCore.Routing;
using NutrientLedger.Office.Answers;
using NutrientLedger.Office.Asking;

namespace NutrientLedger.Office.Endpoints;

/// <summary>Calibrations of sensors: tried, adopted and taken back; the balances follow with the next answer.</summary>
internal static class CalibrationEndpoints
{
    public static void MapCalibrations(this RouteGroupBuilder api)
    {
        var calibrations = api.MapGroup("/farms/{farm}/calibrations")
            .WithTags("Calibrations")
            .ProducesProblem(StatusCodes.Status400BadRequest)
            .ProducesProblem(StatusCodes.Status404NotFound)
            .ProducesProblem(StatusCodes.Status409Conflict);
        calibrations.MapGet("", ListAsync).WithSummary("All calibrations ever adopted, with what became of them");
        calibrations
            .MapPost("/preview", PreviewAsync)
            .WithSummary("What adopting a calibration would change; nothing is stored");
        calibrations.MapPost("", AdoptAsync).WithSummary("Adopt a calibration; every balance follows at once");
        calibrations
            .MapPost("/{id}/withdraw/preview", PreviewWithdrawalAsync)
            .WithSummary("What taking a calibration back would change; nothing is stored");
        calibrations
            .MapPost("/{id}/withdraw", WithdrawAsync)
            .WithSummary("Take a calibration back, as if it had never been adopted");
    }

    private static async Task<Results<Ok<CalibrationList>, ProblemHttpResult>> ListAsync(
        string farm,
        string? asOf,
        FarmInquiry farms,
        CancellationToken cancellationToken
    )
    {
        var asked = await farms.FarmAsync(farm, asOf, cancellationToken);
        return asked.IsRefused
            ? asked.Refusal
            : TypedResults.Ok(new CalibrationList(farm, [.. CalibrationBook.All(asked.Found)]));
    }

    private static Task<Results<Ok<CorrectionAnswer>, ProblemHttpResult>> PreviewAsync(
        string farm,
        CalibrationQuestion question,
        CorrectionDesk desk,
        CancellationToken cancellationToken
    ) => desk.AdoptAsync(farm, question, isStored: false, cancellationToken);

    private static Task<Results<Ok<CorrectionAnswer>, ProblemHttpResult>> AdoptAsync(
        string farm,
        CalibrationQuestion question,
        CorrectionDesk desk,
        CancellationToken cancellationToken
    ) => desk.AdoptAsync(farm, question, isStored: true, cancellationToken);

    private static Task<Results<Ok<CorrectionAnswer>, ProblemHttpResult>> PreviewWithdrawalAsync(
        string farm,
        string id,
        WithdrawalQuestion question,
        CorrectionDesk desk,
        CancellationToken cancellationToken
    ) => desk.WithdrawAsync(farm, id, question, isStored: false, cancellationToken);

    private static Task<Results<Ok<CorrectionAnswer>, ProblemHttpResult>> WithdrawAsync(
        string farm,
        string id,
        WithdrawalQuestion question,
        CorrectionDesk desk,
        CancellationToken cancellationToken
    ) => desk.WithdrawAsync(farm, id, question, isStored: true, cancellationToken);
}
