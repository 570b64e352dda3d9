using System.Globalization;
using Npgsql;

namespace NutrientLedger.Benchmarks;

/// <summary>Resource use of processes, from Linux's /proc.</summary>
internal static class ProcessUsage
{
    // Linux reports times to programs in hundredths of a second, whatever its own clock uses.
    private const double TicksPerSecond = 100;

    /// <summary>Processor time of a process and of its ended children, in seconds.</summary>
    public static double CpuSeconds(int processId) => Sum(Stat(processId), 11, 12, 13, 14);

    /// <summary>
    /// Processor time of a PostgreSQL server in seconds: its first process, ended and running children.
    /// </summary>
    public static double ServerCpuSeconds(int postmasterId)
    {
        var seconds = CpuSeconds(postmasterId);
        foreach (var folder in Directory.EnumerateDirectories("/proc"))
            if (int.TryParse(Path.GetFileName(folder), out var id))
                try
                {
                    var stat = Stat(id);
                    if (Parent(stat) == postmasterId)
                        seconds += Sum(stat, 11, 12);
                }
                catch (IOException)
                {
                    // The process has ended since the folder was listed.
                }
        return seconds;
    }

    /// <summary>The first process of the server behind a connection, which must be on this machine.</summary>
    public static async Task<int> PostmasterAsync(NpgsqlDataSource source)
    {
        await using var command = source.CreateCommand("select pg_backend_pid()");
        var backend = (int)(await command.ExecuteScalarAsync())!;
        if (!File.Exists($"/proc/{backend}/comm") || File.ReadAllText($"/proc/{backend}/comm").Trim() != "postgres")
            throw new InvalidOperationException(
                "The processes of this PostgreSQL cannot be seen from here; measure with a server on this machine."
            );
        return Parent(Stat(backend));
    }

    /// <summary>Current and peak memory of a process, in mebibytes.</summary>
    public static (double Now, double Peak) MemoryMebibytes(int processId)
    {
        var status = File.ReadLines($"/proc/{processId}/status").Select(line => line.Split(':')).ToList();
        return (Value("VmRSS"), Value("VmHWM"));

        double Value(string name) =>
            double.Parse(
                status.First(line => line[0] == name)[1].Replace("kB", "", StringComparison.Ordinal),
                CultureInfo.InvariantCulture
            ) / 1024;
    }

    /// <summary>The load of this machine, averaged over the last minute.</summary>
    public static string Load() => File.ReadAllText("/proc/loadavg").Split(' ')[0];

    /// <summary>The values after the program's name, which may itself hold blanks and brackets.</summary>
    private static string[] Stat(int processId)
    {
        var text = File.ReadAllText($"/proc/{processId}/stat");
        return text[(text.LastIndexOf(')') + 2)..].Split(' ');
    }

    private static int Parent(string[] stat) => int.Parse(stat[1], CultureInfo.InvariantCulture);

    private static double Sum(string[] stat, params IEnumerable<int> places) =>
        places.Sum(place => long.Parse(stat[place], CultureInfo.InvariantCulture)) / TicksPerSecond;
}
