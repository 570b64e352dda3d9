using Microsoft.AspNetCore.Builder;
using Microsoft.AspNetCore.Http;
using Microsoft.AspNetCore.Http.HttpResults;
using Microsoft.AspNetCore.Routing;
using NutrientLedger.Office.Answers;
using NutrientLedger.Office.Asking;
using NutrientLedger.Office.Import;

namespace NutrientLedger.Office.Endpoints;

/// <summary>Laboratory reports: listed with all versions, entered, and corrected by later ones.</summary>
internal static class LabEndpoints
{
    public static void MapLabResults(this RouteGroupBuilder api)
    {
        var results = api.MapGroup("/farms/{farm}/lab-results")
            .WithTags("Laboratory")
            .ProducesProblem(StatusCodes.Status400BadRequest)
            .ProducesProblem(StatusCodes.Status404NotFound);
        results.MapGet("", ListAsync).WithSummary("All laboratory reports, superseded ones too, and what they mean");
        results
            .MapGet("/pairs", PairsAsync)
            .WithSummary("A sensor against the laboratory, sample by sample, and the calibration that this suggests");
        results
            .MapPost("", ReportAsync)
            .WithSummary(
                "Enter a laboratory report as it is printed, or several as in a file ({\"reports\":[…]}); the same one again adds nothing"
            )
            .Accepts<object>("application/json");
        results
            .MapPost("/{id}/correct", CorrectAsync)
            .WithSummary("Enter the report (with an id of its own and why) that supersedes another")
            .Accepts<object>("application/json");
    }

    private static async Task<Results<Ok<LabResultList>, ProblemHttpResult>> ListAsync(
        string farm,
        string? asOf,
        FarmInquiry farms,
        CancellationToken cancellationToken
    )
    {
        var asked = await farms.FarmAsync(farm, asOf, cancellationToken);
        return asked.IsRefused
            ? asked.Refusal
            : TypedResults.Ok(new LabResultList(farm, [.. LabBook.All(asked.Found)]));
    }

    private static Task<Results<Ok<PairsAnswer>, ProblemHttpResult>> PairsAsync(
        string farm,
        string? sensor,
        string? analyte,
        string? pitHours,
        PairInquiry inquiry,
        CancellationToken cancellationToken
    ) => inquiry.AskAsync(farm, sensor, analyte, pitHours, cancellationToken);

    private static Task<Results<Ok<ImportOutcome>, ProblemHttpResult>> ReportAsync(
        string farm,
        HttpRequest request,
        FarmInquiry farms,
        LabImport import,
        CancellationToken cancellationToken
    ) => RecordAsync(farm, request, farms, import, corrects: null, cancellationToken);

    private static Task<Results<Ok<ImportOutcome>, ProblemHttpResult>> CorrectAsync(
        string farm,
        string id,
        HttpRequest request,
        FarmInquiry farms,
        LabImport import,
        CancellationToken cancellationToken
    ) => RecordAsync(farm, request, farms, import, id, cancellationToken);

    private static async Task<Results<Ok<ImportOutcome>, ProblemHttpResult>> RecordAsync(
        string farm,
        HttpRequest request,
        FarmInquiry farms,
        LabImport import,
        string? corrects,
        CancellationToken cancellationToken
    )
    {
        var body = await PostedText.ReadAsync(request, cancellationToken);
        if (body.IsRefused)
            return body.Refusal;
        var asked = await farms.FarmAsync(farm, null, cancellationToken);
        if (asked.IsRefused)
            return asked.Refusal;
        if (corrects is not null && asked.Found.Register.LabReports.Find(corrects) is null)
            return Refusal.Unknown(
                "laboratory report",
                corrects,
                farm,
                asked.Found.Register.LabReports.InForce.Select(report => report.Result.ReportId)
            );
        return PostedText.Answer(await import.ReportAsync(farm, body.Found, corrects, cancellationToken));
    }
}
