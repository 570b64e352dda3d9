namespace NutrientLedger.Persistence.DeadLetters;

/// <summary>
/// How many open rejected messages are kept. A device that sends nonsense without end cannot fill the disk. What is
/// beyond a limit is counted, with the first and last time. The newest few of it are kept for inspection. Sound
/// messages that wait for their farm or for a decision have limits of their own, and none of them is dropped.
/// </summary>
public sealed record DeadLetterLimits
{
    /// <summary>The most open messages of one piece of equipment.</summary>
    public int OpenPerDeviceMax { get; init; } = 200;

    /// <summary>The most open messages of one farm. All farms that are not registered share one such limit.</summary>
    public int OpenPerFarmMax { get; init; } = 5_000;

    /// <summary>
    /// The most sound messages of one device that wait for the import of their farm or for a decision. Beyond this
    /// limit and the next two a message is not acknowledged.
    /// </summary>
    public int WaitingPerDeviceMax { get; init; } = 10_000;

    /// <summary>The same of one farm.</summary>
    public int WaitingPerFarmMax { get; init; } = 50_000;

    /// <summary>The same of all farms together.</summary>
    public int WaitingMax { get; init; } = 100_000;

    /// <summary>How many of those beyond a limit are kept. The newest ones stay.</summary>
    public int NewestKeptMax { get; init; } = 10;
}
