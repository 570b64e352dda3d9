using Microsoft.AspNetCore.Builder;
using Microsoft.AspNetCore.Http;
using Microsoft.AspNetCore.Routing;
using NutrientLedger.Web.Guide;
using NutrientLedger.Web.Http;

namespace NutrientLedger.Web.Endpoints;

/// <summary>The guides at /guide and /guide/{name}. Nothing is loaded from other servers.</summary>
internal static class GuideEndpoints
{
    private static readonly string[] Reading = ["GET", "HEAD"];

    public static void MapGuides(this IEndpointRouteBuilder routes)
    {
        routes
            .MapMethods("/guide", Reading, (HttpContext context) => Show(context, GuideBook.Index))
            .ExcludeFromDescription();
        routes
            .MapMethods("/guide/{name}", Reading, (HttpContext context, string name) => Show(context, name))
            .ExcludeFromDescription();
    }

    private static IResult Show(HttpContext context, string name)
    {
        context.Response.Headers.CacheControl = "no-cache";
        if (GuideBook.Pages.TryGetValue(name, out var page))
            return PaperResponse.Print(context, page);
        if (GuideBook.Pictures.TryGetValue(name, out var picture))
        {
            PageEndpoints.Protect(context.Response.Headers);
            return TypedResults.Bytes(picture, "image/png");
        }
        if (!PaperResponse.IsWanted(context, print: null))
            return ApiProblem.NotFound(
                $"There is no guide \"{name}\".",
                $"Guides: {string.Join(", ", GuideBook.Names)}."
            );
        PageEndpoints.Protect(context.Response.Headers);
        return TypedResults.Text(
            GuideBook.Missing(name),
            "text/html; charset=utf-8",
            statusCode: StatusCodes.Status404NotFound
        );
    }
}
