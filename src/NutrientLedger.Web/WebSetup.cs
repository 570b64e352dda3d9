using Microsoft.AspNetCore.Builder;
using Microsoft.AspNetCore.Routing;
using Microsoft.AspNetCore.Server.Kestrel.Core;
using Microsoft.Extensions.DependencyInjection;
using Microsoft.Extensions.DependencyInjection.Extensions;
using NutrientLedger.Web.Commands;
using NutrientLedger.Web.Endpoints;
using NutrientLedger.Web.Http;
using NutrientLedger.Web.Live;
using NutrientLedger.Web.Queries;
using NutrientLedger.Web.Queries.Sampling;
using NutrientLedger.Web.Queries.Storage;
using NutrientLedger.Web.Replays;

namespace NutrientLedger.Web;

/// <summary>Adds the import, the query API, the live stream and the page to a host.</summary>
public static class WebSetup
{
    public static IServiceCollection AddWeb(this IServiceCollection services)
    {
        services.Configure<KestrelServerOptions>(kestrel =>
            kestrel.Limits.MaxRequestBodySize = ProblemDetailsSetup.BodyBytesMax
        );
        services.TryAddSingleton(TimeProvider.System);
        services.AddSingleton<FarmImport>();
        services.AddSingleton<PitRecordImport>();
        services.AddSingleton<LabImport>();
        services.TryAddSingleton<FarmClock>();
        services.AddSingleton<InterruptionQuery>();
        services.AddSingleton<ReconciliationQuery>();
        services.AddSingleton<FarmQuery>();
        services.AddSingleton<SeasonQuery>();
        services.AddScoped<RequestedFarm>();
        services.AddSingleton<CalibrationPreview>();
        services.AddSingleton<CalibrationHandler>();
        services.AddSingleton<PairQuery>();
        services.AddSingleton<SheetQuery>();
        services.AddSingleton<ReadingDecisionHandler>();
        services.AddSingleton<RetryHandler>();
        services.AddSingleton<DeviceReplacementHandler>();
        services.AddSingleton<SheetStream>();
        services.AddSingleton<FarmReplay>();
        services.AddSingleton<ReplayWork>(provider => provider.GetRequiredService<FarmReplay>().RunAsync);
        services.AddSingleton<ReplayService>();
        services.AddHostedService(provider => provider.GetRequiredService<ReplayService>());
        services.ConfigureHttpJsonOptions(json =>
        {
            json.SerializerOptions.Converters.Add(new MomentJsonConverter());
            json.SerializerOptions.Converters.Add(new TextJsonConverter());
        });
        // An unreadable body gets a response that says what is wrong with it.
        services.Configure<RouteHandlerOptions>(routes => routes.ThrowOnBadRequest = true);
        services.AddProblemDetails(ProblemDetailsSetup.Describe);
        services.AddOpenApi(OpenApiDescription.Describe);
        services.AddHealthChecks();
        return services;
    }

    /// <summary>Maps all routes: /api, /health, /openapi, /docs, /guide, the page.</summary>
    public static void MapWeb(this WebApplication app)
    {
        app.UseExceptionHandler(ProblemDetailsSetup.ExceptionHandler);
        app.UseStatusCodePages();
        app.UseOriginGuard();
        app.UseTextGuard();
        var api = app.MapGroup("/api");
        api.MapFarms();
        api.MapRejected();
        api.MapReplays();
        api.MapLive();
        var farm = FarmFilter.MapFarm(api);
        farm.MapConfiguration();
        farm.MapFields();
        farm.MapPits();
        farm.MapReconciliations();
        farm.MapCalibrations();
        farm.MapStatements();
        farm.MapLabResults();
        farm.MapDevices();
        farm.MapDecisions();
        farm.MapFindings();
        farm.MapReplayStart();
        app.MapHealth();
        app.MapDocuments();
        app.MapGuides();
        app.MapPage();
    }
}
