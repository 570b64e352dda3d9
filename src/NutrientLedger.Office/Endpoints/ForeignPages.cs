using System.Net;
using Microsoft.AspNetCore.Builder;
using Microsoft.AspNetCore.Http;
using Microsoft.Extensions.Primitives;

namespace NutrientLedger.Office.Endpoints;

/// <summary>
/// Keeps pages of other sites, open in a browser on this machine, from writing here or reading along. A browser says on every writing
/// request which site's page it comes from (the Origin header, RFC 6454), and under which name it looked the hub up (Host).
/// </summary>
internal static class ForeignPages
{
    public static void RefuseForeignPages(this WebApplication app) =>
        app.Use(
            (context, next) =>
                Why(context) is { } why
                    ? TypedResults
                        .Problem(
                            why.WhatToDo,
                            statusCode: StatusCodes.Status403Forbidden,
                            title: why.Title,
                            instance: context.Request.Path
                        )
                        .ExecuteAsync(context)
                    : next(context)
        );

    private static (string Title, string WhatToDo)? Why(HttpContext context)
    {
        var request = context.Request;
        // A site can let its own name lead to this machine (DNS rebinding); the browser then takes the hub for that site.
        if (context.Connection.LocalIpAddress is { } here && IPAddress.IsLoopback(here) && !IsLoopback(request.Host))
            return (
                $"The hub is not known as \"{request.Host}\".",
                "It answers on this machine only: ask for http://127.0.0.1 or http://localhost with its port."
            );
        if (Reads(request.Method) || StringValues.IsNullOrEmpty(request.Headers.Origin))
            return null;
        var own = $"{request.Scheme}://{request.Host}";
        return string.Equals(request.Headers.Origin, own, StringComparison.OrdinalIgnoreCase)
            ? null
            : (
                $"A page of another site ({request.Headers.Origin}) may not write here; nothing was stored.",
                $"Use the hub's own page at {own}/, or a program that sends no Origin header."
            );
    }

    private static bool Reads(string method) =>
        HttpMethods.IsGet(method) || HttpMethods.IsHead(method) || HttpMethods.IsOptions(method);

    private static bool IsLoopback(HostString host) =>
        host.Host.Equals("localhost", StringComparison.OrdinalIgnoreCase)
        || (IPAddress.TryParse(host.Host, out var address) && IPAddress.IsLoopback(address));
}
