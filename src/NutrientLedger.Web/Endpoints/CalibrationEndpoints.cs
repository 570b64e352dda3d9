using Microsoft.AspNetCore.Builder;
using Microsoft.AspNetCore.Http;
using Microsoft.AspNetCore.Http.HttpResults;
using Microsoft.AspNetCore.Routing;
using NutrientLedger.Web.Commands;
using NutrientLedger.Web.Contracts.Sampling;
using NutrientLedger.Web.Queries.Sampling;

namespace NutrientLedger.Web.Endpoints;

/// <summary>
/// Calibrations of sensors: list, preview, adopt and withdraw. Balances update with the next response.
/// </summary>
internal static class CalibrationEndpoints
{
    public static void MapCalibrations(this RouteGroupBuilder farm)
    {
        var calibrations = farm.MapGroup("/calibrations")
            .WithTags("Calibrations")
            .ProducesProblem(StatusCodes.Status400BadRequest)
            .ProducesProblem(StatusCodes.Status409Conflict);
        calibrations.MapGet("", List).WithSummary("All calibrations, with their status");
        calibrations.MapPost("/preview", PreviewAsync).WithSummary("Preview an adoption; nothing is stored");
        calibrations.MapPost("", AdoptAsync).WithSummary("Adopt a calibration; all balances update");
        calibrations
            .MapPost("/{id}/withdraw/preview", PreviewWithdrawalAsync)
            .WithSummary("Preview a withdrawal; nothing is stored");
        calibrations
            .MapPost("/{id}/withdraw", WithdrawAsync)
            .WithSummary("Withdraw a calibration; all balances update");
    }

    private static Ok<CalibrationList> List(string farm, string? asOf, RequestedFarm requested) =>
        TypedResults.Ok(new CalibrationList(farm, [.. CalibrationMapping.All(requested.Snapshot)]));

    private static Task<Results<Ok<CorrectionResponse>, ProblemHttpResult>> PreviewAsync(
        string farm,
        CalibrationRequest request,
        RequestedFarm requested,
        CalibrationHandler handler,
        CancellationToken cancellationToken
    ) => handler.AdoptAsync(requested.Snapshot, request, isStored: false, cancellationToken);

    private static Task<Results<Ok<CorrectionResponse>, ProblemHttpResult>> AdoptAsync(
        string farm,
        CalibrationRequest request,
        RequestedFarm requested,
        CalibrationHandler handler,
        CancellationToken cancellationToken
    ) => handler.AdoptAsync(requested.Snapshot, request, isStored: true, cancellationToken);

    private static Task<Results<Ok<CorrectionResponse>, ProblemHttpResult>> PreviewWithdrawalAsync(
        string farm,
        string id,
        CalibrationWithdrawalRequest request,
        RequestedFarm requested,
        CalibrationHandler handler,
        CancellationToken cancellationToken
    ) => handler.WithdrawAsync(requested.Snapshot, id, request, isStored: false, cancellationToken);

    private static Task<Results<Ok<CorrectionResponse>, ProblemHttpResult>> WithdrawAsync(
        string farm,
        string id,
        CalibrationWithdrawalRequest request,
        RequestedFarm requested,
        CalibrationHandler handler,
        CancellationToken cancellationToken
    ) => handler.WithdrawAsync(requested.Snapshot, id, request, isStored: true, cancellationToken);
}
