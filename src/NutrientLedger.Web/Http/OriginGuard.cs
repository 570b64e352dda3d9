using System.Net;
using Microsoft.AspNetCore.Builder;
using Microsoft.AspNetCore.Http;
using Microsoft.Extensions.Primitives;

namespace NutrientLedger.Web.Http;

/// <summary>
/// Keeps pages of other sites, open in a browser on this machine, from writing here or reading responses. Browsers name
/// the page's site in writing requests (Origin, RFC 6454) and the host name they resolved (Host).
/// </summary>
internal static class OriginGuard
{
    public static void UseOriginGuard(this WebApplication app) =>
        app.Use(
            (context, next) =>
                ProblemOf(context) is { } problem
                    ? TypedResults
                        .Problem(
                            problem.WhatToDo,
                            statusCode: StatusCodes.Status403Forbidden,
                            title: problem.Title,
                            instance: context.Request.Path
                        )
                        .ExecuteAsync(context)
                    : next(context)
        );

    private static (string Title, string WhatToDo)? ProblemOf(HttpContext context)
    {
        var request = context.Request;
        // A site can make its own name resolve to this machine (DNS rebinding). The browser then takes the hub for that
        // site.
        if (context.Connection.LocalIpAddress is { } here && IPAddress.IsLoopback(here) && !IsLoopback(request.Host))
            return (
                $"The hub does not answer as \"{request.Host}\".",
                "Use http://127.0.0.1 or http://localhost with its port."
            );
        if (Reads(request.Method) || StringValues.IsNullOrEmpty(request.Headers.Origin))
            return null;
        var own = $"{request.Scheme}://{request.Host}";
        return string.Equals(request.Headers.Origin, own, StringComparison.OrdinalIgnoreCase)
            ? null
            : (
                $"A page from another site ({request.Headers.Origin}) cannot write here. Nothing was stored.",
                $"Use the hub's own page at {own}/, or a program that sends no Origin header."
            );
    }

    private static bool Reads(string method) =>
        HttpMethods.IsGet(method) || HttpMethods.IsHead(method) || HttpMethods.IsOptions(method);

    private static bool IsLoopback(HostString host) =>
        host.Host.Equals("localhost", StringComparison.OrdinalIgnoreCase)
        || (IPAddress.TryParse(host.Host, out var address) && IPAddress.IsLoopback(address));
}
