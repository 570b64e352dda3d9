using System.Globalization;
using System.Security.Cryptography;
using System.Text;

namespace NutrientLedger.Persistence.Postgres;

/// <summary>Where the private PostgreSQL keeps its data and its socket, and what its configuration holds.</summary>
internal sealed record ServerFolder(string Data, string Sockets)
{
    /// <summary>
    /// No port is opened, so this is only part of the socket's name. The default port suits the server's own tools.
    /// </summary>
    public const int Port = 5432;

    /// <summary>The operating system takes socket paths of at most 107 bytes.</summary>
    private const int SocketPathBytesMax = 107;

    /// <summary>
    /// The socket is in the data folder, which only the server's account and root may enter. That path may be too long
    /// or hold characters with a meaning in connection settings. Then a private folder with a short name replaces it.
    /// </summary>
    public static ServerFolder In(string folder)
    {
        var data = Path.Combine(folder, "data");
        var fits = Encoding.UTF8.GetByteCount($"{data}/.s.PGSQL.{Port}") <= SocketPathBytesMax;
        var plain = data.All(letter => char.IsAsciiLetterOrDigit(letter) || letter is '/' or '-' or '_' or '.');
        var digest = Convert.ToHexStringLower(SHA256.HashData(Encoding.UTF8.GetBytes(data)))[..12];
        return new(data, fits && plain ? data : $"/tmp/nutrient-ledger-{digest}");
    }

    /// <summary>The major version that made the data, if any was made.</summary>
    public int? MajorVersion() =>
        File.Exists(Path.Combine(Data, "PG_VERSION"))
            ? int.Parse(File.ReadAllText(Path.Combine(Data, "PG_VERSION")), CultureInfo.InvariantCulture)
            : null;

    /// <summary>
    /// The ids of processes that work in the data folder, the server's first process among them. Linux only.
    /// </summary>
    public IReadOnlySet<int> RunningProcesses() =>
        Directory
            .EnumerateDirectories("/proc")
            .Select(folder => int.TryParse(Path.GetFileName(folder), CultureInfo.InvariantCulture, out var id) ? id : 0)
            .Where(id => id > 0 && RunsHere(id))
            .ToHashSet();

    /// <summary>The process id in the server's own lock file, if there is one.</summary>
    public int? LockedBy() =>
        File.Exists(LockFile)
        && int.TryParse(File.ReadLines(LockFile).FirstOrDefault(), CultureInfo.InvariantCulture, out var id)
            ? id
            : null;

    /// <summary>
    /// Removes the files that a killed server left behind. Only when none of its processes works any more.
    /// </summary>
    public void RemoveStaleLocks()
    {
        File.Delete(LockFile);
        if (Directory.Exists(Sockets))
            File.Delete($"{Sockets}/.s.PGSQL.{Port}.lock");
    }

    private string LockFile => Path.Combine(Data, "postmaster.pid");

    /// <summary>
    /// The server's settings. Written whole at each start. What a person sets with ALTER SYSTEM is in another file and
    /// wins.
    /// </summary>
    public string Settings() =>
        $"""
            listen_addresses = ''
            port = {Port}
            unix_socket_directories = '{Sockets}'
            unix_socket_permissions = 0700
            max_connections = 100
            shared_buffers = 256MB
            jit = off
            fsync = on
            synchronous_commit = on
            max_wal_size = 2GB
            checkpoint_timeout = 15min
            timezone = 'UTC'
            log_timezone = 'UTC'
            lc_messages = 'C'
            logging_collector = on
            log_directory = 'log'
            log_filename = 'postgresql-%a.log'
            log_truncate_on_rotation = on
            log_rotation_age = 1d
            log_rotation_size = 0

            """;

    /// <summary>
    /// Who may connect: root and the server's own account, identified by the operating system, as the hub's database
    /// user.
    /// </summary>
    public static (string Hosts, string Users) AccessRules(string account) =>
        (
            "local all all peer map=hub\n",
            $"hub root {PrivatePostgres.User}\nhub \"{account}\" {PrivatePostgres.User}\n"
        );

    private bool RunsHere(int id)
    {
        try
        {
            return File.ReadAllText($"/proc/{id}/comm").Trim() == "postgres"
                && Directory.ResolveLinkTarget($"/proc/{id}/cwd", returnFinalTarget: false)?.FullName == Data;
        }
        catch (Exception e) when (e is IOException or UnauthorizedAccessException)
        {
            // The process ended meanwhile, or belongs to somebody else. Then it cannot be the server of this folder.
            return false;
        }
    }
}
