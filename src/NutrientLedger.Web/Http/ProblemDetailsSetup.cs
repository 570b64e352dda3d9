using System.Data.Common;
using System.Text.Json;
using Microsoft.AspNetCore.Builder;
using Microsoft.AspNetCore.Http;

namespace NutrientLedger.Web.Http;

/// <summary>
/// Problem details for unreadable bodies, and for errors that are not the request's. Then the log has the cause and the
/// response says what to do.
/// </summary>
internal static class ProblemDetailsSetup
{
    /// <summary>The largest body of a request. A farm's reports of a season are far smaller.</summary>
    public const long BodyBytesMax = 4 << 20;

    /// <summary>
    /// A database that does not answer recovers by itself (503). Anything else is a defect of the hub (500).
    /// </summary>
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
                StatusCodes.Status413PayloadTooLarge =>
                    $"The body is larger than {BodyBytesMax >> 20} MiB. Send it in parts, or import the file by command.",
                StatusCodes.Status415UnsupportedMediaType =>
                    "Send JSON, with the header Content-Type: application/json.",
                StatusCodes.Status404NotFound => "No such address. See /docs.",
                StatusCodes.Status503ServiceUnavailable =>
                    "The database does not answer. Try again in a moment; /health/ready shows what is down.",
                StatusCodes.Status500InternalServerError =>
                    "Internal error; see the log. Try again, and report it with the log if it persists.",
                _ => null,
            };

    /// <summary>The place in the body, counted from 1, and what is wrong there.</summary>
    private static string BodyProblem(Exception? error) =>
        error switch
        {
            // Syntax errors wrap a reader's exception; value errors wrap none.
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
