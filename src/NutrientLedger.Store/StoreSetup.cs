using Microsoft.Extensions.DependencyInjection;

namespace NutrientLedger.Store;

/// <summary>Puts the store into a host.</summary>
public static class StoreSetup
{
    /// <summary>Journal writer, register store, ledger reader, feed and (if asked for) the projections that keep ledgers current.</summary>
    public static IServiceCollection AddStore(
        this IServiceCollection services,
        string connectionString,
        bool keepsLedgersCurrent
    ) => throw new NotImplementedException();
}
