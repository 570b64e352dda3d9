using System.Collections.Frozen;
using Microsoft.AspNetCore.OpenApi;
using Microsoft.OpenApi;

namespace NutrientLedger.Office;

/// <summary>What the description of the query API says about the whole of it and about the words that stand in every question.</summary>
internal static class OfficeDocument
{
    private static readonly FrozenDictionary<string, string> Words = new Dictionary<string, string>
    {
        ["farm"] = "The id of a farm, as /api/farms lists them.",
        ["field"] = "The id of a field of the farm.",
        ["pit"] = "The id of a pit of the farm.",
        ["season"] =
            "The year in which the crop year ends, such as 2026; the latest with lines or a plan when left out.",
        ["asOf"] = "A journal position: answer what was known then. The newest when left out.",
        ["from"] = "The first moment, such as 2026-04-21T14:00:00Z; hours that begin before it are left out.",
        ["to"] = "The last moment; hours that begin after it are left out.",
        ["after"] = "A journal position: only what stands after it; from the first when left out.",
        ["limit"] = "How many to list: 1 to 1000, 100 when left out.",
        ["position"] = "The journal position of a correction, as the list gives it.",
        ["replay"] = "The number of a replay, as the answer to its beginning gives it.",
        ["units"] = "Units of a printed page: us or metric; US customary ones when left out.",
        ["print"] = "1 asks for a page to print, as does a browser; else JSON.",
        ["most"] = "How many to list, newest first: 1 to 1000, 100 when left out.",
    }.ToFrozenDictionary();

    public static void Describe(OpenApiOptions options)
    {
        options.AddDocumentTransformer(
            (document, _, _) =>
            {
                document.Info = new()
                {
                    Title = "Nutrient ledger",
                    Version = "1",
                    Description =
                        "Amounts are SI and every name spells its unit. \"asOf\" is a journal position: the answer is what was "
                        + "known when the journal had reached it. Whoever asks for something that is not there gets a problem "
                        + "(RFC 9457) that says what to ask instead. The figures inform; local rules, the farm's nutrient plan and a "
                        + "licensed or certified planner decide.",
                };
                return Task.CompletedTask;
            }
        );
        options.AddOperationTransformer(
            (operation, _, _) =>
            {
                foreach (var parameter in operation.Parameters?.OfType<OpenApiParameter>() ?? [])
                    parameter.Description = Words.GetValueOrDefault(parameter.Name ?? "");
                return Task.CompletedTask;
            }
        );
    }
}
