using Microsoft.AspNetCore.Builder;
using Microsoft.Extensions.DependencyInjection;

namespace NutrientLedger.Office;

/// <summary>Puts the query API, the live stream and the page into a host.</summary>
public static class OfficeSetup
{
    public static IServiceCollection AddOffice(this IServiceCollection services) => throw new NotImplementedException();

    /// <summary>All routes: /api, /health, /openapi, the page.</summary>
    public static void MapOffice(this WebApplication app) => throw new NotImplementedException();
}
