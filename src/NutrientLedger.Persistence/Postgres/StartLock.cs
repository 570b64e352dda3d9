namespace NutrientLedger.Persistence.Postgres;

/// <summary>
/// One hub at a time makes data, or starts or stops a server. The operating system releases the lock when a hub dies.
/// </summary>
internal static class StartLock
{
    private static readonly TimeSpan PollInterval = TimeSpan.FromMilliseconds(100);

    /// <summary>
    /// Waits for the lock on a folder. The operating system says "try again" (11 on Linux, 35 on macOS) while another
    /// hub holds it.
    /// </summary>
    public static async Task<FileStream> TakeAsync(string folder, CancellationToken cancellationToken)
    {
        while (true)
        {
            try
            {
                // Nobody else's account may hold it.
                var options = new FileStreamOptions
                {
                    Mode = FileMode.OpenOrCreate,
                    Access = FileAccess.ReadWrite,
                    Share = FileShare.None,
                };
                if (!OperatingSystem.IsWindows())
                    options.UnixCreateMode = UnixFileMode.UserRead | UnixFileMode.UserWrite;
                return new(Path.Combine(folder, "starting.lock"), options);
            }
            catch (IOException e) when (e.HResult is 11 or 35)
            {
                await Task.Delay(PollInterval, cancellationToken);
            }
        }
    }
}
