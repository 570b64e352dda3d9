using System.Diagnostics;
using System.Globalization;

namespace NutrientLedger.Persistence.Postgres;

/// <summary>The folder on this machine that holds a PostgreSQL server's programs, and their major version.</summary>
internal sealed record PostgresBinaries(string Folder, int MajorVersion)
{
    /// <summary>The oldest server that works: multiranges came with version 14.</summary>
    public const int MajorVersionMin = 14;

    private static readonly string[] Programs = ["initdb", "pg_ctl", "postgres"];

    /// <summary>The folders in which distributions put the server's programs, those on PATH first.</summary>
    public static IEnumerable<string> StandardFolders() =>
        [
            .. (Environment.GetEnvironmentVariable("PATH") ?? "").Split(Path.PathSeparator).Where(Path.IsPathRooted),
            .. Below("/usr/lib/postgresql", "*", "bin"),
            .. Below("/usr", "pgsql-*", "bin"),
            .. Below("/opt/homebrew/opt", "postgresql*", "bin"),
            .. Below("/usr/local/opt", "postgresql*", "bin"),
            .. Below("/home/linuxbrew/.linuxbrew/opt", "postgresql*", "bin"),
        ];

    /// <summary>
    /// The newest server in these folders. When data of <paramref name="madeBy"/>'s version exists, the server of that
    /// version. Throws with what to install when there is none.
    /// </summary>
    public static PostgresBinaries Choose(IEnumerable<string> folders, int? madeBy)
    {
        var found = folders
            .Distinct()
            .Where(folder => Programs.All(program => File.Exists(Path.Combine(folder, program))))
            .Select(folder => new PostgresBinaries(folder, VersionOf(folder)))
            .ToList();
        return found
                .Where(each => madeBy is null ? each.MajorVersion >= MajorVersionMin : each.MajorVersion == madeBy)
                .MaxBy(each => each.MajorVersion)
            ?? throw new PrivatePostgresException(
                madeBy is { } version
                    ? $"The data folder was made by PostgreSQL {version}, but no server of that version is installed. "
                        + $"Install it (Debian, Ubuntu: apt-get install postgresql-{version})."
                    : $"No PostgreSQL server (version {MajorVersionMin} or newer) is installed on this machine. Install one (Debian, "
                        + "Ubuntu: apt-get install postgresql; Fedora: dnf install postgresql-server; Homebrew: brew install "
                        + "postgresql), or give the connection string of a server elsewhere."
            );
    }

    public string Program(string name) => Path.Combine(Folder, name);

    private static IEnumerable<string> Below(string root, string pattern, string leaf) =>
        Directory.Exists(root)
            ? Directory.EnumerateDirectories(root, pattern).Select(folder => Path.Combine(folder, leaf))
            : [];

    /// <summary>
    /// Asks the server itself. A program without a usable answer counts as version 0 and is never chosen.
    /// </summary>
    private static int VersionOf(string folder)
    {
        using var asked = Process.Start(
            new ProcessStartInfo(Path.Combine(folder, "postgres"), "--version") { RedirectStandardOutput = true }
        );
        var answer = asked!.StandardOutput.ReadToEnd();
        asked.WaitForExit();
        var digits = answer.SkipWhile(letter => !char.IsAsciiDigit(letter)).TakeWhile(char.IsAsciiDigit);
        return int.TryParse([.. digits], NumberStyles.None, CultureInfo.InvariantCulture, out var major) ? major : 0;
    }
}

/// <summary>The hub's own PostgreSQL cannot be made or started. The message says what to do.</summary>
public sealed class PrivatePostgresException(string message) : Exception(message);
