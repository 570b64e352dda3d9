using Microsoft.AspNetCore.Http;
using Microsoft.AspNetCore.Http.HttpResults;

namespace NutrientLedger.Web.Http;

/// <summary>Builds problem details that say why a request failed and what to do instead.</summary>
internal static class ApiProblem
{
    public static ProblemHttpResult UnknownFarm(string farm, IReadOnlyList<string> known) =>
        NotFound(
            $"There is no farm \"{farm}\".",
            known.Count == 0
                ? "No farm is registered yet. Import one: import farm FILE."
                : $"Known farms: {string.Join(", ", known)}."
        );

    /// <summary>Something a farm does not have, with the known ids.</summary>
    public static ProblemHttpResult Unknown(string kind, string id, string farm, IEnumerable<string> known) =>
        NotFound(
            $"Farm \"{farm}\" has no {kind} \"{id}\".",
            $"Known: {(string.Join(", ", known) is { Length: > 0 } list ? list : "none")}."
        );

    /// <summary>A missing or invalid value, by its name in the request.</summary>
    public static ProblemHttpResult BadValue(string name, string value, string whatToDo) =>
        BadRequest(
            string.IsNullOrWhiteSpace(value) ? $"\"{name}\" is missing." : $"\"{value}\" is not a valid {name}.",
            whatToDo
        );

    public static ProblemHttpResult BadRequest(string title, string whatToDo) =>
        TypedResults.Problem(whatToDo, statusCode: StatusCodes.Status400BadRequest, title: title);

    /// <summary>Something is already decided; repeating the request changes nothing.</summary>
    public static ProblemHttpResult AlreadyDecided(string how) => Conflict("Already decided.", how);

    /// <summary>The configuration changed during the request; nothing was stored.</summary>
    public static ProblemHttpResult Changed() =>
        Conflict(
            "The farm's configuration changed in the meantime. Nothing was stored.",
            "Load it again, check, and repeat."
        );

    public static ProblemHttpResult Conflict(string title, string whatToDo) =>
        TypedResults.Problem(whatToDo, statusCode: StatusCodes.Status409Conflict, title: title);

    public static ProblemHttpResult NotFound(string title, string whatToDo) =>
        TypedResults.Problem(whatToDo, statusCode: StatusCodes.Status404NotFound, title: title);
}
