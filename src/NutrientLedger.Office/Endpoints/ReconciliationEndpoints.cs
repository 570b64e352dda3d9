using System.Net.Mime;
using Microsoft.AspNetCore.Builder;
using Microsoft.AspNetCore.Http;
using Microsoft.AspNetCore.Http.HttpResults;
using Microsoft.AspNetCore.Routing;
using NutrientLedger.Office.Answers;
using NutrientLedger.Office.Asking;
using NutrientLedger.Office.Import;

namespace NutrientLedger.Office.Endpoints;

/// <summary>Whether a pit's level, the meters and the acres tell one story, and the records made by hand that help to tell it.</summary>
internal static class ReconciliationEndpoints
{
    public static void MapReconciliations(this RouteGroupBuilder api)
    {
        var farm = api.MapGroup("/farms/{farm}").WithTags("Pits").ProducesProblem(StatusCodes.Status400BadRequest);
        farm.MapGet("/reconciliations", ReconciledAsync)
            .WithSummary(
                "Day by day whether what left a pit reached the fields, and which witness is suspect: JSON, or a page to print"
            )
            .Produces<ReconciliationAnswer>()
            .Produces(StatusCodes.Status200OK, contentType: MediaTypeNames.Text.Html);
        farm.MapPost("/records", RecordAsync)
            .WithSummary(
                "Records loads, transfers, inflow, tape readings, rates and notes made by hand; all or nothing"
            )
            .Accepts<object>("application/json");
    }

    private static async Task<Results<Ok<ReconciliationAnswer>, ContentHttpResult, ProblemHttpResult>> ReconciledAsync(
        string farm,
        string? pit,
        string? from,
        string? to,
        string? asOf,
        string? units,
        string? print,
        HttpContext context,
        FarmInquiry farms,
        ReconciliationInquiry inquiry,
        TimeProvider clock,
        CancellationToken cancellationToken
    )
    {
        var asked = await farms.FarmAsync(farm, asOf, cancellationToken);
        if (asked.IsRefused)
            return asked.Refusal;
        if (StatementUnits.Named(units) is not { } chosen)
            return PaperEndpoints.BadUnits(units!);
        var (reckoned, problem) = await inquiry.ReckonAsync(
            farm,
            pit,
            from,
            to,
            Question.Position(asOf),
            cancellationToken
        );
        if (reckoned is null)
            return Refused("This reconciliation cannot be made.", problem!);
        return PaperEndpoints.IsWanted(context, print)
            ? PaperEndpoints.Print(context, ReconciliationPage.Of(reckoned, clock.GetUtcNow(), chosen))
            : TypedResults.Ok(ReconciliationBook.Answer(reckoned));
    }

    private static async Task<Results<Ok<ImportOutcome>, ProblemHttpResult>> RecordAsync(
        string farm,
        HttpRequest request,
        PitRecordImport import,
        CancellationToken cancellationToken
    )
    {
        var body = await PostedText.ReadAsync(request, cancellationToken);
        return body.IsRefused
            ? body.Refusal
            : PostedText.Answer(await import.RecordAsync("records", body.Found, farm, cancellationToken));
    }

    private static ProblemHttpResult Refused(string title, string whatToDo) =>
        TypedResults.Problem(whatToDo, statusCode: StatusCodes.Status400BadRequest, title: title);
}
