using Microsoft.AspNetCore.Builder;
using Microsoft.AspNetCore.Routing;
using Scalar.AspNetCore;

namespace NutrientLedger.Web.Endpoints;

/// <summary>
/// The description of the API: /openapi/v1.json for machines, /docs for people. Nothing is loaded from other servers.
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
