using System.Data.Common;
using System.Text.Json;
using Microsoft.AspNetCore.Builder;
using Microsoft.AspNetCore.Http;

namespace NutrientLedger.Office.Endpoints;

/// <summary>
/// What is told about a body that cannot be read, and when it is not the question that is wrong: then the cause is in the hub's log, the way
/// out in the answer.
/// </summary>
internal static class Trouble
{
    /// <summary>A database that does not answer comes back by itself; anything else is a mistake of ours.</summary>
    public static ExceptionHandlerOptions Answering { get; } =
        new()
        {
            StatusCodeSelector = trouble =>
                trouble switch
                {
                    BadHttpRequestException body => body.StatusCode,
                    DbException or TimeoutException => StatusCodes.Status503ServiceUnavailable,
                    _ => StatusCodes.Status500InternalServerError,
                },
            SuppressDiagnosticsCallback = told => told.Exception is BadHttpRequestException,
        };

    public static void Describe(ProblemDetailsOptions options) =>
        options.CustomizeProblemDetails = context =>
            context.ProblemDetails.Detail ??= context.ProblemDetails.Status switch
            {
                StatusCodes.Status400BadRequest when context.Exception is { } body => Body(body.InnerException),
                StatusCodes.Status415UnsupportedMediaType =>
                    "Send JSON, with the header Content-Type: application/json.",
                StatusCodes.Status404NotFound => "There is nothing at this address; /docs lists what can be asked.",
                StatusCodes.Status503ServiceUnavailable =>
                    "The database does not answer. Ask again in a moment; /health/ready says which part is down.",
                StatusCodes.Status500InternalServerError =>
                    "The hub made a mistake and has logged it. Ask again; if it stays, report it with the log.",
                _ => null,
            };

    /// <summary>The place in the body and what is wrong there; places are counted from 1.</summary>
    private static string Body(Exception? trouble) =>
        trouble switch
        {
            // The reader's own faults are of the text, what it wraps nothing in is of a value.
            JsonException { InnerException: JsonException } text =>
                $"The body is not JSON from line {text.LineNumber + 1}, byte {text.BytePositionInLine + 1} on.",
            JsonException value when value.Message.Contains(" Path: ", StringComparison.Ordinal) =>
                $"{Place(value)} is not of the kind that is asked for; /docs shows what is.",
            JsonException value => $"{Place(value)}: {value.Message}",
            _ => "The body is missing or cannot be read; send a JSON object as /docs shows it.",
        };

    private static string Place(JsonException trouble) =>
        trouble.Path is { Length: > 2 } path
            ? $"\"{path[2..]}\" (line {trouble.LineNumber + 1})"
            : $"The body (line {trouble.LineNumber + 1})";
}
