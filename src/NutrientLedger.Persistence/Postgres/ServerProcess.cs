namespace NutrientLedger.Persistence.Postgres;

/// <summary>The server's process on its data folder: whether it works, its start and its stop.</summary>
internal sealed class ServerProcess(PostgresBinaries binaries, ServerAccount account, ServerFolder folder)
{
    private static readonly TimeSpan PollInterval = TimeSpan.FromMilliseconds(100);

    /// <summary>
    /// Whether a server is alive on the folder. A killed server leaves its lock file behind. The number in it may now
    /// belong to another program, so the process must work in the folder. Children of a killed server end by
    /// themselves. Until then nobody else may use the data.
    /// </summary>
    public async Task<bool> IsRunningAsync(CancellationToken cancellationToken)
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

    /// <summary>Makes the data on first use.</summary>
    public async Task CreateDataAsync(CancellationToken cancellationToken)
    {
        if (folder.MajorVersion() is null)
            await new ClusterSetup(binaries, account, folder).CreateAsync(cancellationToken);
    }

    /// <summary>Writes the settings and starts the server. Throws when it does not get ready.</summary>
    public async Task StartAsync(CancellationToken cancellationToken)
    {
        await new ClusterSetup(binaries, account, folder).WriteSettingsAsync(cancellationToken);
        await account.RunAsync(
            binaries.Program("pg_ctl"),
            ["start", "-D", folder.Data, "-w", "-t", "110", "-l", $"{folder.Data}/start.log"],
            cancellationToken
        );
    }

    /// <summary>Stops the server, unless it is gone already.</summary>
    public async Task StopAsync(CancellationToken cancellationToken)
    {
        if (await IsRunningAsync(cancellationToken))
            await account.RunAsync(
                binaries.Program("pg_ctl"),
                ["stop", "-D", folder.Data, "-m", "fast", "-w", "-t", "60"],
                cancellationToken
            );
        if (folder.Sockets != folder.Data && Directory.Exists(folder.Sockets))
            Directory.Delete(folder.Sockets, recursive: true);
    }
}
