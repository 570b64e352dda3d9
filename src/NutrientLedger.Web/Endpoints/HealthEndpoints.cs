using Microsoft.AspNetCore.Builder;
using Microsoft.AspNetCore.Http;
using Microsoft.AspNetCore.Routing;
using Microsoft.Extensions.Diagnostics.HealthChecks;

namespace NutrientLedger.Web.Endpoints;

/// <summary>The state of one part of the hub, and the reason.</summary>
internal sealed record PartHealth(string Part, string State, string? Reason);

/// <summary>The state of the hub and of each part.</summary>
internal sealed record HubHealth(string State, IReadOnlyList<PartHealth> Parts);

/// <summary>
/// Health checks: /health/live says that the process runs, /health/ready checks every part. Each project registers its
/// own checks.
/// </summary>
internal static class HealthEndpoints
{
    public static void MapHealth(this IEndpointRouteBuilder routes)
    {
        routes.MapHealthChecks("/health/live", new() { Predicate = _ => false, ResponseWriter = WriteAsync });
        routes.MapHealthChecks("/health/ready", new() { ResponseWriter = WriteAsync });
    }

    private static Task WriteAsync(HttpContext context, HealthReport report) =>
        context.Response.WriteAsJsonAsync(
            new HubHealth(
                StatusName(report.Status),
                [
                    .. report.Entries.Select(part => new PartHealth(
                        part.Key,
                        StatusName(part.Value.Status),
                        part.Value.Description ?? part.Value.Exception?.Message
                    )),
                ]
            ),
            context.RequestAborted
        );

    private static string StatusName(HealthStatus status) =>
        status switch
        {
            HealthStatus.Healthy => "healthy",
            HealthStatus.Degraded => "degraded",
            _ => "unhealthy",
        };
}
