using System.Diagnostics;
using NutrientLedger.Integration.Tests.Fixtures;

namespace NutrientLedger.Integration.Tests.Faults;

/// <summary>A small file system in memory that can be filled completely and emptied again.</summary>
internal sealed class SmallDisk : IDisposable
{
    private SmallDisk(string folder) => Folder = folder;

    public string Folder { get; }

    private string Ballast => Path.Combine(Folder, "ballast");

    /// <summary>Whether this account may mount one, found by trying.</summary>
    public static bool IsToBeHad { get; } = OperatingSystem.IsLinux() && TryOne();

    public static SmallDisk Mount(int megabytes)
    {
        var folder = Directory.CreateTempSubdirectory("nutrient-ledger-disk-").FullName;
        if (Run("mount", "-t", "tmpfs", "-o", $"size={megabytes}m,mode=0711", "nutrient-ledger-test", folder) != 0)
        {
            Directory.Delete(folder);
            throw new InvalidOperationException($"A file system of {megabytes} MB could not be mounted on {folder}.");
        }
        return new(folder);
    }

    /// <summary>Fills all free space.</summary>
    public void Fill()
    {
        using var ballast = new FileStream(Ballast, FileMode.Create, FileAccess.Write, FileShare.None, bufferSize: 0);
        var piece = new byte[4096];
        try
        {
            while (true)
                ballast.Write(piece);
        }
        catch (IOException)
        {
            // No space is left.
        }
    }

    public void MakeRoom() => File.Delete(Ballast);

    public void Dispose()
    {
        // An ending process may hold a file for a moment; lazy unmount waits until it lets go.
        Assert.Equal(0, Run("umount", "--lazy", Folder));
        Directory.Delete(Folder);
    }

    private static bool TryOne()
    {
        try
        {
            using var disk = Mount(megabytes: 1);
            return true;
        }
        catch (Exception e) when (e is InvalidOperationException or System.ComponentModel.Win32Exception)
        {
            return false;
        }
    }

    private static int Run(string program, params string[] arguments)
    {
        using var process = Process.Start(new ProcessStartInfo(program, arguments) { RedirectStandardError = true })!;
        process.StandardError.ReadToEnd();
        process.WaitForExit();
        return process.ExitCode;
    }
}

/// <summary>
/// A test that needs PostgreSQL on a small disk. Where none can be mounted it is skipped locally and fails on a build
/// server.
/// </summary>
[AttributeUsage(AttributeTargets.Method)]
public sealed class SmallDiskFactAttribute : FactAttribute
{
    public SmallDiskFactAttribute()
    {
        if (!TestServer.NothingMayBeSkipped && !(TestServer.IsToBeHad && SmallDisk.IsToBeHad))
            Skip =
                "No PostgreSQL programs, or this account may not mount a small file system in memory: run the test as root.";
    }
}
