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
    private readonly PostgresBinaries binaries;
    private readonly ServerAccount account;
    private readonly ServerFolder folder;
    private NpgsqlConnection? presence;

    private PrivatePostgres(PostgresBinaries binaries, ServerAccount account, ServerFolder folder) =>
        (this.binaries, this.account, this.folder) = (binaries, account, folder);

    private const int PreparedCommandsMax = 100;

    /// <summary>The connection string of the hub's database in it.</summary>
    public string ConnectionString => ConnectionTo(Database);

    /// <summary>Whether the server was already running when this process asked for it.</summary>
    public bool Joined { get; private set; } = true;

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
        using var limit = CancellationTokenSource.CreateLinkedTokenSource(cancellationToken);
        limit.CancelAfter(StartLimit);
        try
        {
            Directory.CreateDirectory(folder);
            var place = ServerFolder.In(RealPath(Path.GetFullPath(folder)));
            await using var startLock = await StartLockAsync(folder, limit.Token);
            var account = await ServerAccount.ChooseAsync(place.Data, limit.Token);
            var binaries = PostgresBinaries.Choose(PostgresBinaries.StandardFolders(), place.MajorVersion());
            var server = new PrivatePostgres(binaries, account, place);
            await server.StartOrJoinAsync(limit.Token);
            return server;
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
        await using var startLock = await StartLockAsync(Path.GetDirectoryName(folder.Data)!, limit.Token);
        NpgsqlConnection.ClearAllPools();
        var others = await AnyOtherClientAsync(mine, limit.Token);
        await mine.DisposeAsync();
        if (others)
            return;
        await account.RunAsync(
            binaries.Program("pg_ctl"),
            ["stop", "-D", folder.Data, "-m", "fast", "-w", "-t", "60"],
            limit.Token
        );
        if (folder.Sockets != folder.Data)
            Directory.Delete(folder.Sockets, recursive: true);
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

    private async Task StartOrJoinAsync(CancellationToken cancellationToken)
    {
        if (folder.MajorVersion() is null)
            await new ClusterSetup(binaries, account, folder).CreateAsync(cancellationToken);
        // A joined server may be about to end, for example when its disk is full. Then a new one is started after it.
        while (presence is null)
        {
            Joined = await IsRunningAsync(cancellationToken);
            if (!Joined)
            {
                await new ClusterSetup(binaries, account, folder).WriteSettingsAsync(cancellationToken);
                await account.RunAsync(
                    binaries.Program("pg_ctl"),
                    ["start", "-D", folder.Data, "-w", "-t", "110", "-l", $"{folder.Data}/start.log"],
                    cancellationToken
                );
            }
            presence = await OpenAsync(cancellationToken);
        }
        await CreateDatabaseAsync(presence, cancellationToken);
    }

    /// <summary>
    /// Whether a server is alive on the folder. A killed server leaves its lock file behind. The number in it may now
    /// belong to another program, so the process must work in the folder. Children of a killed server end by
    /// themselves. Until then nobody else may use the data.
    /// </summary>
    private async Task<bool> IsRunningAsync(CancellationToken cancellationToken)
    {
        if (!OperatingSystem.IsLinux())
            return await account.TryRunAsync(
                binaries.Program("pg_ctl"),
                ["status", "-D", folder.Data],
                cancellationToken
            )
                is (0, _);
        while (true)
        {
            var atWork = folder.RunningProcesses();
            if (folder.LockedBy() is { } id && atWork.Contains(id))
                return true;
            if (atWork.Count == 0)
                break;
            await Task.Delay(PollInterval, cancellationToken);
        }
        folder.RemoveStaleLocks();
        return false;
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
                if (!await IsRunningAsync(cancellationToken))
                    return null;
            }
        }
    }

    /// <summary>
    /// One hub at a time makes data or starts a server. The operating system releases the lock when a hub dies. It says
    /// "try again" (11 on Linux, 35 on macOS) while another hub holds the lock.
    /// </summary>
    private static async Task<FileStream> StartLockAsync(string folder, CancellationToken cancellationToken)
    {
        while (true)
        {
            try
            {
                return new(
                    Path.Combine(folder, "starting.lock"),
                    FileMode.OpenOrCreate,
                    FileAccess.ReadWrite,
                    FileShare.None
                );
            }
            catch (IOException e) when (e.HResult is 11 or 35)
            {
                await Task.Delay(PollInterval, cancellationToken);
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
