using Microsoft.AspNetCore.Http;
using Microsoft.AspNetCore.Http.HttpResults;

namespace NutrientLedger.Office.Asking;

/// <summary>Says why a question cannot be answered and what to ask instead.</summary>
internal static class Refusal
{
    public static ProblemHttpResult UnknownFarm(string farm, IReadOnlyList<string> known) =>
        NotFound(
            $"There is no farm \"{farm}\".",
            known.Count == 0
                ? "No farm is registered yet; import a farm file with the command: import farm FILE."
                : $"Known farms: {string.Join(", ", known)}."
        );

    /// <summary>Something within a farm that is not there, with what is.</summary>
    public static ProblemHttpResult Unknown(string kind, string id, string farm, IEnumerable<string> known) =>
        NotFound(
            $"Farm \"{farm}\" has no {kind} \"{id}\".",
            $"Known: {(string.Join(", ", known) is { Length: > 0 } list ? list : "none")}."
        );

    public static ProblemHttpResult BadValue(string name, string value, string whatToDo) =>
        TypedResults.Problem(
            $"{whatToDo}",
            statusCode: StatusCodes.Status400BadRequest,
            title: $"\"{value}\" is no use as {name}."
        );

    /// <summary>Something was decided before; asking again changes nothing.</summary>
    public static ProblemHttpResult Settled(string how) => Conflict("This is settled already.", how);

    /// <summary>Somebody else recorded something while this was asked; nothing was stored.</summary>
    public static ProblemHttpResult MovedOn() =>
        Conflict(
            "Somebody else recorded something in the farm's register meanwhile; nothing was stored.",
            "Look at it again and repeat it."
        );

    public static ProblemHttpResult Conflict(string title, string whatToDo) =>
        TypedResults.Problem(whatToDo, statusCode: StatusCodes.Status409Conflict, title: title);

    public static ProblemHttpResult NotFound(string title, string whatToDo) =>
        TypedResults.Problem(whatToDo, statusCode: StatusCodes.Status404NotFound, title: title);
}
