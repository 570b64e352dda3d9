using NutrientLedger.Hub.Startup.Options;
using NutrientLedger.Persistence.Postgres;

namespace NutrientLedger.Hub.Startup;

/// <summary>Where demos keep their database and bookmarks, apart from those of a real farm.</summary>
public static class DemoFolder
{
    /// <summary>The demo's database, under the data folder.</summary>
    public const string Database = "demo/postgres";

    /// <summary>How far each sender of the demo has come.</summary>
    public static string BookmarksOf(HubOptions options) => Path.Combine(DataFolder.PathOf(options), "demo", "sent");

    /// <summary>
    /// Deletes what earlier demos stored; refuses a database that was named, because it may hold a real farm.
    /// </summary>
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
