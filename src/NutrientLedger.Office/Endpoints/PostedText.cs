using Microsoft.AspNetCore.Http;
using Microsoft.AspNetCore.Http.HttpResults;
using NutrientLedger.Office.Asking;
using NutrientLedger.Office.Import;

namespace NutrientLedger.Office.Endpoints;

/// <summary>What is posted as text of our own forms: read whole up to a limit, and answered alike.</summary>
internal static class PostedText
{
    private const int BytesMost = 1_000_000;

    /// <summary>The body, or why it is not taken.</summary>
    public static async Task<Asked<byte[]>> ReadAsync(HttpRequest request, CancellationToken cancellationToken)
    {
        var body = new byte[BytesMost + 1];
        var length = await request.Body.ReadAtLeastAsync(
            body,
            body.Length,
            throwOnEndOfStream: false,
            cancellationToken
        );
        return length > BytesMost
            ? Refusal.BadValue("something to record", "This body", "Send at most 1 MB at a time.")
            : body[..length];
    }

    public static Results<Ok<ImportOutcome>, ProblemHttpResult> Answer(ImportOutcome outcome) =>
        outcome.Problems.Count == 0
            ? TypedResults.Ok(outcome)
            : TypedResults.Problem(
                string.Join(" ", outcome.Problems.Select(problem => $"Line {problem.Line}: {problem.Problem}")),
                statusCode: StatusCodes.Status400BadRequest,
                title: $"Nothing was recorded: {outcome.Problems.Count} to put right."
            );
}
