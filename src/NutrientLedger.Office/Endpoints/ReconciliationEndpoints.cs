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
            .WithSummary("Day by day whether what left a pit reached the fields, and which witness is suspect");
        farm.MapPost("/records", RecordAsync)
            .WithSummary(
                "Records loads, transfers, inflow, tape readings, rates and notes made by hand; all or nothing"
            )
            .Accepts<object>("application/json");
    }

    private static async Task<Results<Ok<ReconciliationAnswer>, ProblemHttpResult>> ReconciledAsync(
        string farm,
        string? pit,
        string? from,
        string? to,
        string? asOf,
        FarmInquiry farms,
        ReconciliationInquiry inquiry,
        CancellationToken cancellationToken
    )
    {
        var asked = await farms.FarmAsync(farm, asOf, cancellationToken);
        if (asked.IsRefused)
            return asked.Refusal;
        return await inquiry.AskAsync(farm, pit, from, to, Question.Position(asOf), cancellationToken) switch
        {
            ({ } answer, _) => TypedResults.Ok(answer),
            (_, var problem) => Refused("This reconciliation cannot be made.", problem!),
        };
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
