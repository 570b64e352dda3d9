namespace NutrientLedger.Store;

/// <summary>A PostgreSQL server of the hub's own, from the binaries of the machine, with its data under the hub's data folder.</summary>
public sealed class PrivatePostgres : IAsyncDisposable
{
    /// <summary>How to reach the hub's database in it.</summary>
    public string ConnectionString => throw new NotImplementedException();

    /// <summary>
    /// Finds the server binaries, makes the data folder on first use, and starts the server or joins the one that already runs
    /// on the same folder. Throws with what to install when there are no binaries.
    /// </summary>
    public static Task<PrivatePostgres> StartAsync(string folder, CancellationToken cancellationToken) =>
        throw new NotImplementedException();

    /// <summary>Stops the server if this process started it.</summary>
    public ValueTask DisposeAsync() => throw new NotImplementedException();
}
