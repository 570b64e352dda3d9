using System.ComponentModel.DataAnnotations;
using NutrientLedger.Persistence.DeadLetters;

namespace NutrientLedger.Hub.Startup.Options;

/// <summary>
/// Limits for open dead letters (rejected messages). All beyond a limit are counted, and only the newest few of them
/// kept.
/// </summary>
internal sealed class DeadLetterOptions
{
    /// <summary>Max number of open dead letters of one device, 1 to 100000. Default: 200.</summary>
    [Range(1, 100_000)]
    public int OpenPerDeviceMax { get; init; } = 200;

    /// <summary>
    /// Max number of open dead letters of one farm, 1 to 1000000. Default: 5000. All unregistered farms share one such
    /// limit.
    /// </summary>
    [Range(1, 1_000_000)]
    public int OpenPerFarmMax { get; init; } = 5_000;

    /// <summary>How many of those beyond a limit are kept, the newest, 1 to 1000. Default: 10.</summary>
    [Range(1, 1000)]
    public int NewestKeptMax { get; init; } = 10;

    /// <summary>
    /// Max number of sound messages of one device that wait for the import of their farm or for a decision, 1 to
    /// 1000000. Default: 10000. Beyond this and the next two they are not acknowledged.
    /// </summary>
    [Range(1, 1_000_000)]
    public int WaitingPerDeviceMax { get; init; } = 10_000;

    /// <summary>The same of one farm, 1 to 1000000. Default: 50000.</summary>
    [Range(1, 1_000_000)]
    public int WaitingPerFarmMax { get; init; } = 50_000;

    /// <summary>The same of all farms together, 1 to 1000000. Default: 100000.</summary>
    [Range(1, 1_000_000)]
    public int WaitingMax { get; init; } = 100_000;

    /// <summary>These limits as Persistence takes them.</summary>
    public DeadLetterLimits ToLimits() =>
        new()
        {
            OpenPerDeviceMax = OpenPerDeviceMax,
            OpenPerFarmMax = OpenPerFarmMax,
            NewestKeptMax = NewestKeptMax,
            WaitingPerDeviceMax = WaitingPerDeviceMax,
            WaitingPerFarmMax = WaitingPerFarmMax,
            WaitingMax = WaitingMax,
        };
}
