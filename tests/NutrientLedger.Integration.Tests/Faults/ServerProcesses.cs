using System.Diagnostics;
using System.Globalization;

namespace NutrientLedger.Integration.Tests.Faults;

/// <summary>The processes of a private PostgreSQL. They have a folder below this one as working directory.</summary>
internal static class ServerProcesses
{
    /// <summary>
    /// All of them. Those of connections have long titles, by which the class library would not find them.
    /// </summary>
    public static Process[] In(string folder) =>
        [
            .. Directory
                .EnumerateDirectories("/proc")
                .Select(Path.GetFileName)
                .Where(name => int.TryParse(name, CultureInfo.InvariantCulture, out _) && WorksIn(name!, folder))
                .Select(name => Find(int.Parse(name!, CultureInfo.InvariantCulture)))
                .OfType<Process>(),
        ];

    /// <summary>Kills all of them at once, as a power cut would; none of them can clean up.</summary>
    public static async Task KillAsync(string folder)
    {
        var processes = In(folder);
        Assert.NotEmpty(processes);
        foreach (var process in processes)
            process.Kill();
        foreach (var process in processes)
            await process.WaitForExitAsync();
    }

    /// <summary>Kills the first process alone. The others end by themselves when they notice.</summary>
    public static void KillFirst(string dataFolder) => SignalFirst(dataFolder, "KILL");

    public static void SignalFirst(string dataFolder, string name)
    {
        var first = File.ReadLines(Path.Combine(dataFolder, "postmaster.pid")).First();
        using var signal = Process.Start("kill", [$"-{name}", first]);
        signal.WaitForExit();
    }

    /// <summary>
    /// Sends all of them a signal by its name, such as STOP and CONT. The first process may just have made another one,
    /// so it is done twice.
    /// </summary>
    public static void SignalAll(string folder, string name)
    {
        for (var i = 0; i < 2; i++)
            foreach (var process in In(folder))
            {
                using var signal = Process.Start("kill", [$"-{name}", $"{process.Id}"]);
                signal.WaitForExit();
            }
    }

    private static bool WorksIn(string process, string folder)
    {
        try
        {
            return File.ReadAllText($"/proc/{process}/comm").Trim() == "postgres"
                && new DirectoryInfo($"/proc/{process}/cwd").ResolveLinkTarget(returnFinalTarget: true)?.FullName
                    is { } at
                && at.StartsWith(folder, StringComparison.Ordinal);
        }
        catch (Exception e) when (e is IOException or UnauthorizedAccessException)
        {
            return false;
        }
    }

    /// <summary>Null when it has ended meanwhile.</summary>
    private static Process? Find(int id)
    {
        try
        {
            return Process.GetProcessById(id);
        }
        catch (ArgumentException)
        {
            return null;
        }
    }
}
