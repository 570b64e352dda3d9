using Microsoft.AspNetCore.Builder;
using Microsoft.AspNetCore.Routing;
using Microsoft.Extensions.DependencyInjection;
using Microsoft.Extensions.DependencyInjection.Extensions;
using NutrientLedger.Office.Asking;
using NutrientLedger.Office.Endpoints;
using NutrientLedger.Office.Import;
using NutrientLedger.Office.Live;
using NutrientLedger.Office.Replaying;

namespace NutrientLedger.Office;

/// <summary>Puts the import, the query API, the live stream and the page into a host.</summary>
public static class OfficeSetup
{
    public static IServiceCollection AddOffice(this IServiceCollection services)
    {
        services.TryAddSingleton(TimeProvider.System);
        services.AddSingleton<FarmImport>();
        services.AddSingleton<PitRecordImport>();
        services.AddSingleton<LabImport>();
        services.TryAddSingleton<FarmClock>();
        services.AddSingleton<ReconciliationInquiry>();
        services.AddSingleton<FarmInquiry>();
        services.AddSingleton<CalibrationTrial>();
        services.AddSingleton<CorrectionDesk>();
        services.AddSingleton<PairInquiry>();
        services.AddSingleton<SheetInquiry>();
        services.AddSingleton<DecisionDesk>();
        services.AddSingleton<RefusedOffer>();
        services.AddSingleton<SheetStream>();
        services.AddSingleton<FarmReplay>();
        services.AddSingleton<ReplayWork>(provider => provider.GetRequiredService<FarmReplay>().RunAsync);
        services.AddSingleton<Replays>();
        services.AddHostedService(provider => provider.GetRequiredService<Replays>());
        services.ConfigureHttpJsonOptions(json => json.SerializerOptions.Converters.Add(new PostedMoments()));
        // A body that cannot be read is told with what is wrong in it.
        services.Configure<RouteHandlerOptions>(routes => routes.ThrowOnBadRequest = true);
        services.AddProblemDetails(Trouble.Describe);
        services.AddOpenApi(OfficeDocument.Describe);
        services.AddHealthChecks();
        return services;
    }

    /// <summary>All routes: /api, /health, /openapi, /docs, the page.</summary>
    public static void MapOffice(this WebApplication app)
    {
        app.UseExceptionHandler(Trouble.Answering);
        app.UseStatusCodePages();
        app.RefuseForeignPages();
        var api = app.MapGroup("/api");
        api.MapFarms();
        api.MapFields();
        api.MapPits();
        api.MapReconciliations();
        api.MapCalibrations();
        api.MapStatements();
        api.MapLabResults();
        api.MapDevices();
        api.MapDecisions();
        api.MapFindings();
        api.MapRefused();
        api.MapReplays();
        api.MapLive();
        app.MapHealth();
        app.MapDocuments();
        app.MapPage();
    }
}
