namespace NutrientLedger.Persistence.Postgres;

/// <summary>Makes the data folder of the private PostgreSQL and, before each start, its configuration.</summary>
internal sealed class ClusterSetup(PostgresBinaries binaries, ServerAccount account, ServerFolder folder)
{
    /// <summary>
    /// Makes the data beside its final place and moves it there when complete. A kill in between leaves nothing half
    /// made.
    /// </summary>
    public async Task CreateAsync(CancellationToken cancellationToken)
    {
        var unfinished = $"{folder.Data}.new";
        if (Directory.Exists(unfinished))
            Directory.Delete(unfinished, recursive: true);
        if (Directory.Exists(folder.Data))
            throw new PrivatePostgresException(
                $"{folder.Data} is there but holds no PostgreSQL data. Move it away, or give another data folder."
            );
        await MakePrivateFolderAsync(unfinished, cancellationToken);
        await account.RunAsync(
            binaries.Program("initdb"),
            [
                $"--pgdata={unfinished}",
                $"--username={PrivatePostgres.User}",
                "--auth=peer",
                "--encoding=UTF8",
                "--locale=C",
                "--data-checksums",
            ],
            cancellationToken
        );
        Directory.Move(unfinished, folder.Data);
    }

    /// <summary>
    /// Writes the configuration and makes the socket's folder. The server's own account writes all of it, never root.
    /// </summary>
    public async Task WriteSettingsAsync(CancellationToken cancellationToken)
    {
        var (hosts, users) = ServerFolder.AccessRules(account.Name);
        await WriteAsync("postgresql.conf", folder.Settings(), cancellationToken);
        await WriteAsync("pg_hba.conf", hosts, cancellationToken);
        await WriteAsync("pg_ident.conf", users, cancellationToken);
        if (folder.Sockets == folder.Data)
            return;
        await account.TryRunAsync("mkdir", ["-m", "700", folder.Sockets], cancellationToken);
        var found = await account.RunAsync("stat", ["-c", "%U %a %F", folder.Sockets], cancellationToken);
        if (found != $"{account.Name} 700 directory")
            throw new PrivatePostgresException(
                $"{folder.Sockets} should be a private folder of '{account.Name}' for PostgreSQL's socket, but is '{found}'. Remove it."
            );
    }

    private Task<string> WriteAsync(string name, string text, CancellationToken cancellationToken) =>
        account.RunAsync("tee", [Path.Combine(folder.Data, name)], cancellationToken, text);

    private async Task MakePrivateFolderAsync(string path, CancellationToken cancellationToken)
    {
        await ServerAccount.Hub.RunAsync(
            "install",
            account.IsOther ? ["-d", "-m", "700", "-o", account.Name, path] : ["-d", "-m", "700", path],
            cancellationToken
        );
        if (await account.TryRunAsync("test", ["-w", path], cancellationToken) is not (0, _))
            throw new PrivatePostgresException(
                $"The hub runs as root and PostgreSQL under the account '{account.Name}', which may not reach {path}. Let it pass "
                    + "through the folders above (chmod o+x), or give a data folder such as /var/lib/nutrient-ledger."
            );
    }
}
