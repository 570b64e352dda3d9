using NutrientLedger.Hub.Startup.Options;
using NutrientLedger.Persistence.Postgres;

namespace NutrientLedger.Hub.Startup;

/// <summary>Where demos keep their database and bookmarks, apart from a real farm's.</summary>
internal static class DemoFolder
{
    /// <summary>Folder of the demo's database, relative to the data folder.</summary>
    public const string Database = "demo/postgres";

    /// <summary>Folder of the devices' bookmarks.</summary>
    public static string BookmarksOf(HubOptions options) => Path.Combine(DataFolder.PathOf(options), "demo", "sent");

    /// <summary>Deletes what earlier demos stored.</summary>
    /// <exception cref="HubStartException">The database is not the hub's own, so it may hold a real farm.</exception>
    public static async Task ClearAsync(HubDatabase database, HubOptions options, CancellationToken cancellationToken)
    {
        if (!database.IsOwn)
            throw new HubStartException(
                "--fresh clears only the hub's own demo database. Clear yours by hand, or run the demo without a database of yours."
            );
        await EmptyDatabase.RecreateAsync(database.ConnectionString, cancellationToken);
        if (Directory.Exists(BookmarksOf(options)))
            Directory.Delete(BookmarksOf(options), recursive: true);
    }
}
