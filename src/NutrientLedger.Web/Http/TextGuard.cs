using Microsoft.AspNetCore.Builder;

namespace NutrientLedger.Web.Http;

/// <summary>Rejects addresses with the character U+0000, which PostgreSQL's text cannot hold.</summary>
internal static class TextGuard
{
    public static void UseTextGuard(this WebApplication app) =>
        app.Use(
            (context, next) =>
                $"{context.Request.QueryString}".Contains("%00", StringComparison.Ordinal)
                || context.Request.Path.Value?.Contains('\0', StringComparison.Ordinal) == true
                    ? ApiProblem
                        .BadRequest("The address contains the character U+0000.", "Leave it out.")
                        .ExecuteAsync(context)
                    : next(context)
        );
}
