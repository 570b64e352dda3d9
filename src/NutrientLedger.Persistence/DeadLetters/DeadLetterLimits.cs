namespace NutrientLedger.Persistence.DeadLetters;

/// <summary>
/// How many open refused messages are kept, so that a device which sends nonsense without end cannot fill the disk. What is
/// beyond a limit is counted, with the first and last time, and the newest few of it are kept to be looked at.
/// </summary>
public sealed record DeadLetterLimits
{
    /// <summary>The most open messages of one piece of equipment.</summary>
    public int OpenPerDeviceMax { get; init; } = 200;

    /// <summary>The most open messages of one farm; all farms that are not registered together have as many.</summary>
    public int OpenPerFarmMax { get; init; } = 5_000;

    /// <summary>How many of those beyond a limit are kept, the newest ones.</summary>
    public int NewestKeptMax { get; init; } = 10;
}
