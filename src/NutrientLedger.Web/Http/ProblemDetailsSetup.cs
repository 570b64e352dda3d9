using System.Data.Common;
using System.Text.Json;
using Microsoft.AspNetCore.Builder;
using Microsoft.AspNetCore.Http;

namespace NutrientLedger.Web.Http;

/// <summary>
/// What is told about a body that cannot be read, and when it is not the question that is wrong: then the cause is in
/// the hub's log, the way out in the answer.
/// </summary>
internal static class ProblemDetailsSetup
{
    /// <summary>A database that does not answer comes back by itself; anything else is a mistake of ours.</summary>
    public static ExceptionHandlerOptions ExceptionHandler { get; } =
        new()
        {
            StatusCodeSelector = error =>
                error switch
                {
                    BadHttpRequestException body => body.StatusCode,
                    DbException or TimeoutException => StatusCodes.Status503ServiceUnavailable,
                    _ => StatusCodes.Status500InternalServerError,
                },
            SuppressDiagnosticsCallback = context => context.Exception is BadHttpRequestException,
        };

    public static void Describe(ProblemDetailsOptions options) =>
        options.CustomizeProblemDetails = context =>
            context.ProblemDetails.Detail ??= context.ProblemDetails.Status switch
            {
                StatusCodes.Status400BadRequest when context.Exception is { } body => BodyProblem(body.InnerException),
                StatusCodes.Status415UnsupportedMediaType =>
                    "Send JSON, with the header Content-Type: application/json.",
                StatusCodes.Status404NotFound => "No such address. See /docs.",
                StatusCodes.Status503ServiceUnavailable =>
                    "The database does not answer. Try again in a moment; /health/ready shows what is down.",
                StatusCodes.Status500InternalServerError =>
                    "Internal error; see the log. Try again, and report it with the log if it persists.",
                _ => null,
            };

    /// <summary>The place in the body and what is wrong there; places are counted from 1.</summary>
    private static string BodyProblem(Exception? error) =>
        error switch
        {
            // The reader's own faults are of the text, what it wraps nothing in is of a value.
            JsonException { InnerException: JsonException } text =>
                $"Invalid JSON at line {text.LineNumber + 1}, byte {text.BytePositionInLine + 1}.",
            JsonException value when value.Message.Contains(" Path: ", StringComparison.Ordinal) =>
                $"{Place(value)} has the wrong type. See /docs.",
            JsonException value => $"{Place(value)}: {value.Message}",
            _ => "The body is missing or unreadable. Send a JSON object; see /docs.",
        };

    private static string Place(JsonException error) =>
        error.Path is { Length: > 2 } path
            ? $"\"{path[2..]}\" (line {error.LineNumber + 1})"
            : $"The body (line {error.LineNumber + 1})";
}
