using Microsoft.AspNetCore.Builder;
using Microsoft.AspNetCore.Http;
using Microsoft.AspNetCore.Http.HttpResults;
using Microsoft.AspNetCore.Routing;
using NutrientLedger.Web.Commands;
using NutrientLedger.Web.Contracts.Farms;
using NutrientLedger.Web.Contracts.Sampling;
using NutrientLedger.Web.Http;
using NutrientLedger.Web.Queries.Sampling;

namespace NutrientLedger.Web.Endpoints;

/// <summary>Laboratory reports: list all versions, enter and correct.</summary>
internal static class LabEndpoints
{
    public static void MapLabResults(this RouteGroupBuilder farm)
    {
        var results = farm.MapGroup("/lab-results")
            .WithTags("Laboratory")
            .ProducesProblem(StatusCodes.Status400BadRequest);
        results.MapGet("", List).WithSummary("All laboratory reports, including superseded ones");
        results
            .MapGet("/pairs", PairsAsync)
            .WithSummary("Lab samples compared with the sensor, and the proposed calibration");
        results
            .MapPost("", ReportAsync)
            .WithSummary("Enter one laboratory report, or several ({\"reports\":[…]}); repeats are ignored")
            .Accepts<object>("application/json");
        results
            .MapPost("/{id}/correct", CorrectAsync)
            .WithSummary("Enter a report that supersedes this one (needs a new id and a reason)")
            .Accepts<object>("application/json");
    }

    private static Ok<LabResultList> List(string farm, string? asOf, RequestedFarm requested) =>
        TypedResults.Ok(new LabResultList(farm, [.. LabMapping.All(requested.Snapshot)]));

    private static Task<Results<Ok<PairsResponse>, ProblemHttpResult>> PairsAsync(
        string farm,
        string? sensor,
        string? analyte,
        string? pitHours,
        RequestedFarm requested,
        PairQuery query,
        CancellationToken cancellationToken
    ) => query.AskAsync(requested.Snapshot, sensor, analyte, pitHours, cancellationToken);

    private static Task<Results<Ok<ImportOutcome>, ProblemHttpResult>> ReportAsync(
        string farm,
        HttpRequest request,
        RequestedFarm requested,
        LabImport import,
        CancellationToken cancellationToken
    ) => RecordAsync(farm, request, requested, import, corrects: null, cancellationToken);

    private static Task<Results<Ok<ImportOutcome>, ProblemHttpResult>> CorrectAsync(
        string farm,
        string id,
        HttpRequest request,
        RequestedFarm requested,
        LabImport import,
        CancellationToken cancellationToken
    ) => RecordAsync(farm, request, requested, import, id, cancellationToken);

    private static async Task<Results<Ok<ImportOutcome>, ProblemHttpResult>> RecordAsync(
        string farm,
        HttpRequest request,
        RequestedFarm requested,
        LabImport import,
        string? corrects,
        CancellationToken cancellationToken
    )
    {
        var body = await RequestBody.ReadAsync(request, cancellationToken);
        if (body.IsProblem)
            return body.Problem;
        if (corrects is not null && requested.Configuration.LabReports.Find(corrects) is null)
            return ApiProblem.Unknown(
                "laboratory report",
                corrects,
                farm,
                requested.Configuration.LabReports.InForce.Select(report => report.Result.ReportId)
            );
        return RequestBody.Response(await import.ReportAsync(farm, body.Value, corrects, cancellationToken));
    }
}
