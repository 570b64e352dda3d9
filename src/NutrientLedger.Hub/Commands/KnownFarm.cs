using NutrientLedger.Hub.Startup;
using NutrientLedger.Persistence.Configuration;

namespace NutrientLedger.Hub.Commands;

/// <summary>Checks that a farm exists; the error for an unknown one lists the known farms.</summary>
internal static class KnownFarm
{
    public static async Task CheckAsync(IServiceProvider services, string wanted, CancellationToken cancellationToken)
    {
        var farms = await services.GetRequiredService<ConfigurationStore>().FarmsAsync(cancellationToken);
        if (!farms.Contains(wanted))
            throw new HubStartException(
                $"There is no farm \"{wanted}\" in this journal. Known: {(farms.Count > 0 ? string.Join(", ", farms) : "none")}."
            );
    }
}
