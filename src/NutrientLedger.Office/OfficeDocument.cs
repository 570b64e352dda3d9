using Microsoft.AspNetCore.OpenApi;

namespace NutrientLedger.Office;

/// <summary>What the description of the query API says about the whole of it.</summary>
internal static class OfficeDocument
{
    public static void Describe(OpenApiOptions options) =>
        options.AddDocumentTransformer(
            (document, _, _) =>
            {
                document.Info = new()
                {
                    Title = "Nutrient ledger",
                    Version = "1",
                    Description =
                        "Read-only. Amounts are SI and every name spells its unit. \"asOf\" is a journal position: the answer is what was "
                        + "known when the journal had reached it. Whoever asks for something that is not there gets a problem "
                        + "(RFC 9457) that says what to ask instead. The figures inform; local rules, the farm's nutrient plan and a "
                        + "licensed or certified planner decide.",
                };
                return Task.CompletedTask;
            }
        );
}
