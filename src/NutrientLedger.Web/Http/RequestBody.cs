using Microsoft.AspNetCore.Http;
using Microsoft.AspNetCore.Http.HttpResults;
using NutrientLedger.Web.Contracts.Farms;
using NutrientLedger.Web.Wording;

namespace NutrientLedger.Web.Http;

/// <summary>Request bodies in our own JSON formats: read up to a limit, with one kind of response.</summary>
internal static class RequestBody
{
    private const int BytesMax = 1_000_000;

    /// <summary>The body, or the problem when it is too large.</summary>
    public static async Task<Result<byte[]>> ReadAsync(HttpRequest request, CancellationToken cancellationToken)
    {
        var body = new byte[BytesMax + 1];
        var length = await request.Body.ReadAtLeastAsync(
            body,
            body.Length,
            throwOnEndOfStream: false,
            cancellationToken
        );
        return length > BytesMax
            ? ApiProblem.BadRequest("The body is too large.", "Send at most 1 MB.")
            : body[..length];
    }

    public static Results<Ok<ImportOutcome>, ProblemHttpResult> Response(ImportOutcome outcome) =>
        outcome.Problems.Count == 0
            ? TypedResults.Ok(outcome)
            : TypedResults.Problem(
                string.Join(" ", outcome.Problems.Select(problem => $"Line {problem.Line}: {problem.Problem}")),
                statusCode: StatusCodes.Status400BadRequest,
                title: $"Nothing imported: fix {Plural.Of(outcome.Problems.Count, "error")}."
            );
}
