using System.Collections.Frozen;
using Microsoft.AspNetCore.OpenApi;
using Microsoft.OpenApi;

namespace NutrientLedger.Web;

/// <summary>Texts of the OpenAPI description: the API as a whole, and the parameters shared by all queries.</summary>
internal static class OpenApiDescription
{
    private static readonly FrozenDictionary<string, string> ParameterTexts = new Dictionary<string, string>
    {
        ["farm"] = "Farm id, from /api/farms.",
        ["field"] = "Field id.",
        ["pit"] = "Pit id.",
        ["equipment"] = "Device id, from the farm's devices.",
        ["season"] = "Year in which the crop year ends, such as 2026. Default: the latest season with data or a plan.",
        ["asOf"] = "Journal position: the answer as of then. Default: the newest.",
        ["from"] = "Start time, such as 2026-04-21T14:00:00Z. Hours that start before it are left out.",
        ["to"] = "End time. Hours that start after it are left out.",
        ["after"] = "List what comes after this position (configuration) or message number (rejected, newest first).",
        ["limit"] = "Page size, 1 to 1000. Default: 100.",
        ["position"] = "Journal position of the correction, from the list.",
        ["replay"] = "Replay number, from the response that started it.",
        ["units"] = "Units of the printed page: us (default) or metric.",
        ["print"] = "1 returns a page to print. Browsers get it by default; others get JSON.",
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
                        "Amounts are SI; each name ends in its unit. \"asOf\" is a journal position: the answer is what was "
                        + "known then. Errors are problem details "
                        + "(RFC 9457) that say what to do. Values are for information only: local rules, the farm's nutrient plan and a "
                        + "licensed or certified planner decide.",
                };
                return Task.CompletedTask;
            }
        );
        options.AddOperationTransformer(
            (operation, _, _) =>
            {
                foreach (var parameter in operation.Parameters?.OfType<OpenApiParameter>() ?? [])
                    parameter.Description = ParameterTexts.GetValueOrDefault(parameter.Name ?? "");
                return Task.CompletedTask;
            }
        );
    }
}
