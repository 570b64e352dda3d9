using Npgsql;

namespace NutrientLedger.Persistence.Postgres;

/// <summary>
/// A PostgreSQL server of the hub's own, from the binaries of the machine. Its data is under the hub's data folder. It
/// listens only on a socket in that folder, which its own account and root may reach. It outlives a hub that is killed.
/// </summary>
public sealed class PrivatePostgres : IAsyncDisposable
{
    public const string User = "nutrient_ledger";
    public const string Database = "nutrient_ledger";

    private static readonly TimeSpan StartLimit = TimeSpan.FromMinutes(2);
    private static readonly TimeSpan PollInterval = TimeSpan.FromMilliseconds(100);

    private static int count;

    private readonly string applicationName =
        $"nutrient-ledger {Environment.ProcessId}-{Interlocked.Increment(ref count)}";
    private readonly ServerFolder folder;
    private readonly ServerProcess process;
    private NpgsqlConnection? presence;

    private PrivatePostgres(ServerFolder folder, ServerProcess process) =>
        (this.folder, this.process) = (folder, process);

    private const int PreparedCommandsMax = 100;

    /// <summary>The connection string of the hub's database in it.</summary>
    public string ConnectionString => ConnectionTo(Database);

    /// <summary>Whether the server was already running when this process last asked for it.</summary>
    public bool Joined { get; private set; } = true;

    /// <summary>The folder of the server's own log.</summary>
    public string LogFolder => Path.Combine(folder.Data, "log");

    private string Folder => Path.GetDirectoryName(folder.Data)!;

    /// <summary>
    /// Finds the server binaries and makes the data folder on first use. Then starts the server, or joins the one that
    /// already runs on the same folder. Throws with what to install when there are no binaries.
    /// </summary>
    public static async Task<PrivatePostgres> StartAsync(string folder, CancellationToken cancellationToken)
    {
        if (OperatingSystem.IsWindows())
            throw new PrivatePostgresException(
                "A private PostgreSQL needs Linux or macOS; give a connection string instead."
            );
        PrivatePostgres? server = null;
        await StartingAsync(
            folder,
            async limit =>
            {
                var place = ServerFolder.In(RealPath(Path.GetFullPath(folder)));
                var account = await ServerAccount.ChooseAsync(place.Data, limit);
                var binaries = PostgresBinaries.Choose(PostgresBinaries.StandardFolders(), place.MajorVersion());
                server = new PrivatePostgres(place, new(binaries, account, place));
                await server.StartOrJoinAsync(limit);
            },
            cancellationToken
        );
        return server!;
    }

    /// <summary>Starts a server that has died, or joins it where it lives on or somebody else started it.</summary>
    /// <exception cref="PrivatePostgresException">It cannot be started. The message says why.</exception>
    public Task StartAgainAsync(CancellationToken cancellationToken) =>
        StartingAsync(
            Folder,
            async limit =>
            {
                if (presence is { } lost)
                    await lost.DisposeAsync();
                presence = null;
                await StartOrJoinAsync(limit);
            },
            cancellationToken
        );

    /// <summary>
    /// Waits until the server closes the connection that this process holds as long as it stays. Returns the reason.
    /// </summary>
    public async Task<string> LostAsync(CancellationToken cancellationToken)
    {
        try
        {
            while (presence is { } mine)
                await mine.WaitAsync(cancellationToken);
            return "there is no connection";
        }
        catch (Exception e) when (e is NpgsqlException or IOException or InvalidOperationException)
        {
            return e.Message;
        }
    }

    /// <summary>
    /// Stops the server unless another process uses it: the last process to leave stops the server. Nobody can join
    /// meanwhile, because joining takes the same lock. A process that has joined holds a connection as long as it
    /// stays.
    /// </summary>
    public async ValueTask DisposeAsync()
    {
        if (presence is not { } mine)
            return;
        presence = null;
        using var limit = new CancellationTokenSource(StartLimit);
        await using var startLock = await StartLock.TakeAsync(Folder, limit.Token);
        NpgsqlConnection.ClearAllPools();
        var others = await AnyOtherClientAsync(mine, limit.Token);
        await mine.DisposeAsync();
        if (!others)
            await process.StopAsync(limit.Token);
    }

    /// <summary>Whether another hub or tool is connected. A server that is gone has no clients.</summary>
    private async Task<bool> AnyOtherClientAsync(NpgsqlConnection mine, CancellationToken cancellationToken)
    {
        try
        {
            await using var others = new NpgsqlCommand(
                "select exists (select from pg_stat_activity where backend_type = 'client backend' and application_name <> $1)",
                mine
            )
            {
                Parameters = { new() { Value = applicationName } },
            };
            return (bool)(await others.ExecuteScalarAsync(cancellationToken))!;
        }
        catch (Exception e) when (e is NpgsqlException or InvalidOperationException)
        {
            return false;
        }
    }

    /// <summary>Does something under the lock for starting, within the limit. Errors say what to do.</summary>
    private static async Task StartingAsync(
        string folder,
        Func<CancellationToken, Task> start,
        CancellationToken cancellationToken
    )
    {
        using var limit = CancellationTokenSource.CreateLinkedTokenSource(cancellationToken);
        limit.CancelAfter(StartLimit);
        try
        {
            Directory.CreateDirectory(folder);
            await using var startLock = await StartLock.TakeAsync(folder, limit.Token);
            await start(limit.Token);
        }
        catch (Exception e) when (e is IOException or UnauthorizedAccessException)
        {
            throw new PrivatePostgresException(
                $"The data folder {folder} cannot be used: {e.Message} Give a folder that the account '{Environment.UserName}' may write to."
            );
        }
        catch (OperationCanceledException) when (!cancellationToken.IsCancellationRequested)
        {
            throw new PrivatePostgresException(
                $"PostgreSQL in {folder} did not get ready within {StartLimit.TotalSeconds:0} s; see {folder}/data/log."
            );
        }
    }

    private async Task StartOrJoinAsync(CancellationToken cancellationToken)
    {
        await process.CreateDataAsync(cancellationToken);
        // A joined server may be about to end, for example when its disk is full. Then a new one is started after it.
        while (presence is null)
        {
            Joined = await process.IsRunningAsync(cancellationToken);
            if (!Joined)
                await process.StartAsync(cancellationToken);
            presence = await OpenAsync(cancellationToken);
        }
        await CreateDatabaseAsync(presence, cancellationToken);
    }

    private static async Task CreateDatabaseAsync(NpgsqlConnection connection, CancellationToken cancellationToken)
    {
        await using var known = new NpgsqlCommand(
            $"select 1 from pg_database where datname = '{Database}'",
            connection
        );
        if (await known.ExecuteScalarAsync(cancellationToken) is not null)
            return;
        await using var make = new NpgsqlCommand($"create database {Database}", connection);
        await make.ExecuteNonQueryAsync(cancellationToken);
    }

    /// <summary>
    /// A joined server that recovers or shuts down says so. It is asked again until it is ready, or gone (null).
    /// </summary>
    private async Task<NpgsqlConnection?> OpenAsync(CancellationToken cancellationToken)
    {
        while (true)
        {
            var connection = new NpgsqlConnection(ConnectionTo("postgres") + ";Pooling=false");
            try
            {
                await connection.OpenAsync(cancellationToken);
                return connection;
            }
            catch (NpgsqlException e) when (e.IsTransient || e.SqlState == PostgresErrorCodes.CannotConnectNow)
            {
                await connection.DisposeAsync();
                await Task.Delay(PollInterval, cancellationToken);
                if (!await process.IsRunningAsync(cancellationToken))
                    return null;
            }
        }
    }

    private string ConnectionTo(string database) =>
        new NpgsqlConnectionStringBuilder
        {
            Host = folder.Sockets,
            Port = ServerFolder.Port,
            Username = User,
            Database = database,
            ApplicationName = applicationName,
            // Whoever sets something on a connection sets it back, so nothing has to be reset in between. Plans are
            // kept.
            NoResetOnClose = true,
            MaxAutoPrepare = PreparedCommandsMax,
        }.ConnectionString;

    /// <summary>The path without symbolic links, as the operating system names it for a running process.</summary>
    private static string RealPath(string path) =>
        Path.GetDirectoryName(path) is not { } parent ? path
        : new DirectoryInfo(path).ResolveLinkTarget(returnFinalTarget: true) is { } target ? RealPath(target.FullName)
        : Path.Combine(RealPath(parent), Path.GetFileName(path));
}
