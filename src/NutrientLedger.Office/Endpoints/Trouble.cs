using System.Data.Common;
using Microsoft.AspNetCore.Builder;
using Microsoft.AspNetCore.Http;

namespace NutrientLedger.Office.Endpoints;

/// <summary>What a reader is told when it is not the question that is wrong: the cause is in the hub's log, the way out in the answer.</summary>
internal static class Trouble
{
    /// <summary>A database that does not answer comes back by itself; anything else is a mistake of ours.</summary>
    public static ExceptionHandlerOptions Answering { get; } =
        new()
        {
            StatusCodeSelector = trouble =>
                trouble is DbException or TimeoutException
                    ? StatusCodes.Status503ServiceUnavailable
                    : StatusCodes.Status500InternalServerError,
        };

    public static void Describe(ProblemDetailsOptions options) =>
        options.CustomizeProblemDetails = context =>
            context.ProblemDetails.Detail ??= context.ProblemDetails.Status switch
            {
                StatusCodes.Status404NotFound => "There is nothing at this address; /docs lists what can be asked.",
                StatusCodes.Status503ServiceUnavailable =>
                    "The database does not answer. Ask again in a moment; /health/ready says which part is down.",
                StatusCodes.Status500InternalServerError =>
                    "The hub made a mistake and has logged it. Ask again; if it stays, report it with the log.",
                _ => null,
            };
}
