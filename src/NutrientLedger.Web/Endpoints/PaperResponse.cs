using System.Net.Mime;
using Microsoft.AspNetCore.Http;
using Microsoft.AspNetCore.Http.HttpResults;
using NutrientLedger.Web.Http;

namespace NutrientLedger.Web.Endpoints;

/// <summary>Responses that are JSON for programs and a printable page for people at the same address.</summary>
internal static class PaperResponse
{
    /// <summary>Whether the printable page is wanted: by a browser, or by "print" in the address.</summary>
    public static bool IsWanted(HttpContext context, string? print)
    {
        context.Response.Headers.Vary = "Accept";
        return print is not (null or "0")
            || context.Request.Headers.Accept.Any(accept => accept?.Contains(MediaTypeNames.Text.Html) == true);
    }

    public static ContentHttpResult Print(HttpContext context, string page)
    {
        PageEndpoints.Protect(context.Response.Headers);
        return TypedResults.Text(page, "text/html; charset=utf-8");
    }

    public static ProblemHttpResult BadUnits(string units) =>
        ApiProblem.BadValue("units", units, "Write us or metric. Leave it out for us.");
}
