using System.Diagnostics;

namespace NutrientLedger.Persistence.Postgres;

/// <summary>
/// The account under which the private PostgreSQL runs. It is the hub's own, or an unprivileged one when the hub runs
/// as root (the server does not run as root).
/// </summary>
internal sealed class ServerAccount
{
    private static readonly TimeSpan RunLimit = TimeSpan.FromMinutes(2);

    private readonly string[] runAs;

    private ServerAccount(string name, string[] runAs) => (Name, this.runAs) = (name, runAs);

    /// <summary>The account of this process.</summary>
    public static ServerAccount Hub { get; } = new(Environment.UserName, []);

    public string Name { get; }

    public bool IsOther => runAs.Length > 0;

    /// <summary>The owner of existing data, else an account fit to own new data.</summary>
    public static async Task<ServerAccount> ChooseAsync(string data, CancellationToken cancellationToken)
    {
        var owner = Directory.Exists(data)
            ? await Hub.OutputOrNullAsync("stat", ["-c", "%U", data], cancellationToken)
            : null;
        if (!Environment.IsPrivilegedProcess)
            return owner is null || owner == Hub.Name
                ? Hub
                : throw new PrivatePostgresException(
                    $"The data in {data} belongs to the account '{owner}', but the hub runs as '{Hub.Name}'. Start the hub as "
                        + $"'{owner}' or give it another data folder."
                );
        foreach (var name in owner is null ? (string[])["postgres", "daemon", "nobody"] : [owner])
            if (await Hub.OutputOrNullAsync("id", ["-u", name], cancellationToken) is { } number and not "0")
                return new(name, AsOther(name, number, await Hub.RunAsync("id", ["-g", name], cancellationToken)));
        throw new PrivatePostgresException(
            "The hub runs as root, and PostgreSQL needs an account that is not. Add one (Debian, Ubuntu: apt-get install "
                + "postgresql adds 'postgres'), or start the hub as another user."
        );
    }

    /// <summary>Runs a program under this account and returns its output. Throws if it fails.</summary>
    public async Task<string> RunAsync(
        string program,
        string[] arguments,
        CancellationToken cancellationToken,
        string? input = null
    )
    {
        var (code, output) = await TryRunAsync(program, arguments, cancellationToken, input);
        return code == 0
            ? output
            : throw new PrivatePostgresException(
                $"'{program} {string.Join(' ', arguments)}' failed under the account '{Name}' (exit code {code}): {output}"
            );
    }

    public async Task<(int Code, string Output)> TryRunAsync(
        string program,
        string[] arguments,
        CancellationToken cancellationToken,
        string? input = null
    )
    {
        string[] line = [.. runAs, program, .. arguments];
        // The root folder is the only working folder that every account may enter.
        var start = new ProcessStartInfo(line[0], line[1..])
        {
            WorkingDirectory = "/",
            RedirectStandardInput = true,
            RedirectStandardOutput = true,
            RedirectStandardError = true,
        };
        foreach (
            var name in start.Environment.Keys.Where(name => name.StartsWith("PG", StringComparison.Ordinal)).ToList()
        )
            start.Environment.Remove(name);
        start.Environment["LC_ALL"] = "C";
        using var limit = CancellationTokenSource.CreateLinkedTokenSource(cancellationToken);
        limit.CancelAfter(RunLimit);
        using var run = Process.Start(start)!;
        try
        {
            await run.StandardInput.WriteAsync(input.AsMemory(), limit.Token);
            run.StandardInput.Close();
            var output = run.StandardOutput.ReadToEndAsync(limit.Token);
            var complained = run.StandardError.ReadToEndAsync(limit.Token);
            await run.WaitForExitAsync(limit.Token);
            return (run.ExitCode, (await output + await complained).Trim());
        }
        catch (OperationCanceledException)
        {
            run.Kill();
            throw;
        }
    }

    private async Task<string?> OutputOrNullAsync(
        string program,
        string[] arguments,
        CancellationToken cancellationToken
    ) => await TryRunAsync(program, arguments, cancellationToken) is (0, var output) ? output : null;

    private static string[] AsOther(string name, string user, string group) =>
        FindProgram("setpriv") is { } setpriv ? [setpriv, $"--reuid={user}", $"--regid={group}", "--init-groups", "--"]
        : FindProgram("runuser") is { } runuser ? [runuser, "-u", name, "--"]
        : throw new PrivatePostgresException(
            "The hub runs as root and finds neither setpriv nor runuser to start PostgreSQL under another account. Install "
                + "util-linux, or start the hub as another user."
        );

    private static string? FindProgram(string program) =>
        ((string[])["/usr/bin", "/usr/sbin", "/bin", "/sbin"])
            .Select(folder => Path.Combine(folder, program))
            .FirstOrDefault(File.Exists);
}
