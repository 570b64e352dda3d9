namespace NutrientLedger.Persistence.DeadLetters;

/// <summary>
/// How many open rejected messages are kept. A device that sends nonsense without end cannot fill the disk. What is
/// beyond a limit is counted, with the first and last time. The newest few of it are kept for inspection.
/// </summary>
public sealed record DeadLetterLimits
{
    /// <summary>The most open messages of one piece of equipment.</summary>
    public int OpenPerDeviceMax { get; init; } = 200;

    /// <summary>The most open messages of one farm. All farms that are not registered share one such limit.</summary>
    public int OpenPerFarmMax { get; init; } = 5_000;

    /// <summary>How many of those beyond a limit are kept. The newest ones stay.</summary>
    public int NewestKeptMax { get; init; } = 10;
}
