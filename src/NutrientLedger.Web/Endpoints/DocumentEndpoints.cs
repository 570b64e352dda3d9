using Microsoft.AspNetCore.Builder;
using Microsoft.AspNetCore.Routing;
using Scalar.AspNetCore;

namespace NutrientLedger.Web.Endpoints;

/// <summary>
/// The description of the query API, for machines at /openapi/v1.json and for people at /docs; nothing is fetched from
/// outside.
/// </summary>
internal static class DocumentEndpoints
{
    public static void MapDocuments(this IEndpointRouteBuilder routes)
    {
        routes.MapOpenApi("/openapi/{documentName}.json");
        routes.MapScalarApiReference(
            "/docs",
            page =>
                page.WithTitle("Nutrient ledger: query API")
                    .DisableDefaultFonts()
                    .DisableTelemetry()
                    .DisableAgent()
                    .HideDeveloperTools()
                    .HideClientButton()
        );
    }
}
