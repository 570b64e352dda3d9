using System.Reflection;
using Microsoft.AspNetCore.Builder;
using Microsoft.AspNetCore.Http;
using Microsoft.AspNetCore.Routing;
using Microsoft.Extensions.DependencyInjection;
using NutrientLedger.Ledger.Configuration;
using NutrientLedger.Persistence.Configuration;
using NutrientLedger.Web.Queries;

namespace NutrientLedger.Web.Endpoints;

/// <summary>
/// The farm in a request's address. The filter sets it before the handler runs; one instance per request.
/// </summary>
internal sealed class RequestedFarm
{
    private ConfigurationSnapshot? snapshot;

    /// <summary>The configuration as of the requested position; the newest by default.</summary>
    public ConfigurationSnapshot Snapshot
    {
        get => snapshot ?? throw new InvalidOperationException($"Map the route with {nameof(FarmFilter.MapFarm)}.");
        set => snapshot = value;
    }

    /// <summary>The requested journal position; null for the newest.</summary>
    public long? AsOf { get; set; }

    public FarmConfiguration Configuration => Snapshot.Configuration;
}

/// <summary>
/// Finds the farm of every route under /farms/{farm}. Responds itself when the farm or the position is wrong. The
/// position is read only if the handler has a parameter named asOf.
/// </summary>
internal sealed class FarmFilter(bool takesAsOf) : IEndpointFilter
{
    private const string AsOf = "asOf";

    public async ValueTask<object?> InvokeAsync(EndpointFilterInvocationContext context, EndpointFilterDelegate next)
    {
        var http = context.HttpContext;
        var asOf = takesAsOf ? (string?)http.Request.Query[AsOf] : null;
        var found = await http
            .RequestServices.GetRequiredService<FarmQuery>()
            .FarmAsync((string)http.GetRouteValue("farm")!, asOf, http.RequestAborted);
        if (found.IsProblem)
            return found.Problem;
        var requested = http.RequestServices.GetRequiredService<RequestedFarm>();
        (requested.Snapshot, requested.AsOf) = (found.Value, QueryParameters.Position(asOf));
        return await next(context);
    }

    /// <summary>The group of all routes of one farm. Their handlers take a <see cref="RequestedFarm"/>.</summary>
    public static RouteGroupBuilder MapFarm(RouteGroupBuilder api)
    {
        var farm = api.MapGroup("/farms/{farm}").ProducesProblem(StatusCodes.Status404NotFound);
        farm.AddEndpointFilterFactory(
            (handler, next) =>
            {
                var filter = new FarmFilter(TakesAsOf(handler.MethodInfo));
                return context => filter.InvokeAsync(context, next);
            }
        );
        return farm;
    }

    private static bool TakesAsOf(MethodInfo handler) =>
        handler.GetParameters().Any(parameter => parameter.Name == AsOf);
}
