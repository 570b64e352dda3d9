using Microsoft.AspNetCore.Builder;
using Microsoft.AspNetCore.Http;
using Microsoft.AspNetCore.Http.HttpResults;
using Microsoft.AspNetCore.Routing;
using NutrientLedger.Web.Commands;
using NutrientLedger.Web.Contracts.Farms;
using NutrientLedger.Web.Contracts.Sampling;
using NutrientLedger.Web.Http;
using NutrientLedger.Web.Queries;
using NutrientLedger.Web.Queries.Sampling;

namespace NutrientLedger.Web.Endpoints;

/// <summary>Laboratory reports: listed with all versions, entered, and corrected by later ones.</summary>
internal static class LabEndpoints
{
    public static void MapLabResults(this RouteGroupBuilder api)
    {
        var results = api.MapGroup("/farms/{farm}/lab-results")
            .WithTags("Laboratory")
            .ProducesProblem(StatusCodes.Status400BadRequest)
            .ProducesProblem(StatusCodes.Status404NotFound);
        results.MapGet("", ListAsync).WithSummary("All laboratory reports, including superseded ones");
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

    private static async Task<Results<Ok<LabResultList>, ProblemHttpResult>> ListAsync(
        string farm,
        string? asOf,
        FarmQuery farms,
        CancellationToken cancellationToken
    )
    {
        var result = await farms.FarmAsync(farm, asOf, cancellationToken);
        return result.IsProblem
            ? result.Problem
            : TypedResults.Ok(new LabResultList(farm, [.. LabMapping.All(result.Value)]));
    }

    private static Task<Results<Ok<PairsResponse>, ProblemHttpResult>> PairsAsync(
        string farm,
        string? sensor,
        string? analyte,
        string? pitHours,
        PairQuery query,
        CancellationToken cancellationToken
    ) => query.AskAsync(farm, sensor, analyte, pitHours, cancellationToken);

    private static Task<Results<Ok<ImportOutcome>, ProblemHttpResult>> ReportAsync(
        string farm,
        HttpRequest request,
        FarmQuery farms,
        LabImport import,
        CancellationToken cancellationToken
    ) => RecordAsync(farm, request, farms, import, corrects: null, cancellationToken);

    private static Task<Results<Ok<ImportOutcome>, ProblemHttpResult>> CorrectAsync(
        string farm,
        string id,
        HttpRequest request,
        FarmQuery farms,
        LabImport import,
        CancellationToken cancellationToken
    ) => RecordAsync(farm, request, farms, import, id, cancellationToken);

    private static async Task<Results<Ok<ImportOutcome>, ProblemHttpResult>> RecordAsync(
        string farm,
        HttpRequest request,
        FarmQuery farms,
        LabImport import,
        string? corrects,
        CancellationToken cancellationToken
    )
    {
        var body = await RequestBody.ReadAsync(request, cancellationToken);
        if (body.IsProblem)
            return body.Problem;
        var result = await farms.FarmAsync(farm, null, cancellationToken);
        if (result.IsProblem)
            return result.Problem;
        if (corrects is not null && result.Value.Configuration.LabReports.Find(corrects) is null)
            return ApiProblem.Unknown(
                "laboratory report",
                corrects,
                farm,
                result.Value.Configuration.LabReports.InForce.Select(report => report.Result.ReportId)
            );
        return RequestBody.Response(await import.ReportAsync(farm, body.Value, corrects, cancellationToken));
    }
}
