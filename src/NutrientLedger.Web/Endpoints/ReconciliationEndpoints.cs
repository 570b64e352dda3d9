using System.Net.Mime;
using Microsoft.AspNetCore.Builder;
using Microsoft.AspNetCore.Http;
using Microsoft.AspNetCore.Http.HttpResults;
using Microsoft.AspNetCore.Routing;
using NutrientLedger.Web.Commands;
using NutrientLedger.Web.Contracts.Farms;
using NutrientLedger.Web.Contracts.Storage;
using NutrientLedger.Web.Http;
using NutrientLedger.Web.Paper;
using NutrientLedger.Web.Queries.Storage;
using NutrientLedger.Web.Wording;

namespace NutrientLedger.Web.Endpoints;

/// <summary>Reconciliations of pits, and the hand records that they use.</summary>
internal static class ReconciliationEndpoints
{
    public static void MapReconciliations(this RouteGroupBuilder farm)
    {
        var pits = farm.MapGroup("").WithTags("Pits").ProducesProblem(StatusCodes.Status400BadRequest);
        pits.MapGet("/reconciliations", ReconcileAsync)
            .WithSummary("Daily pit reconciliation with suspected gross errors: JSON, or a page to print")
            .Produces<ReconciliationResponse>()
            .Produces(StatusCodes.Status200OK, contentType: MediaTypeNames.Text.Html);
        pits.MapPost("/records", RecordAsync)
            .WithSummary("Enter hand records: loads, transfers, inflow, tape readings, rates, notes; all or none")
            .Accepts<object>("application/json");
    }

    private static async Task<Results<Ok<ReconciliationResponse>, ContentHttpResult, ProblemHttpResult>> ReconcileAsync(
        string farm,
        string? pit,
        string? from,
        string? to,
        string? asOf,
        string? units,
        string? print,
        HttpContext context,
        RequestedFarm requested,
        ReconciliationQuery query,
        TimeProvider clock,
        CancellationToken cancellationToken
    )
    {
        if (DisplayUnits.Named(units) is not { } chosen)
            return PaperResponse.BadUnits(units!);
        var (reconciled, problem) = await query.ReconcileAsync(
            requested.Snapshot,
            pit,
            from,
            to,
            requested.AsOf,
            cancellationToken
        );
        if (reconciled is null)
            return BadRequest("The reconciliation is not possible.", problem!);
        return PaperResponse.IsWanted(context, print)
            ? PaperResponse.Print(context, ReconciliationPage.Of(reconciled, clock.GetUtcNow(), chosen))
            : TypedResults.Ok(ReconciliationMapping.Response(reconciled));
    }

    private static async Task<Results<Ok<ImportOutcome>, ProblemHttpResult>> RecordAsync(
        string farm,
        HttpRequest request,
        PitRecordImport import,
        CancellationToken cancellationToken
    )
    {
        var body = await RequestBody.ReadAsync(request, cancellationToken);
        return body.IsProblem
            ? body.Problem
            : RequestBody.Response(await import.RecordAsync("records", body.Value, farm, cancellationToken));
    }

    private static ProblemHttpResult BadRequest(string title, string whatToDo) =>
        TypedResults.Problem(whatToDo, statusCode: StatusCodes.Status400BadRequest, title: title);
}
