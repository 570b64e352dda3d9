namespace NutrientLedger.Integration.Tests.Store;

/// <summary>A clock that stands still until it is moved.</summary>
internal sealed class SteppedClock(DateTimeOffset start) : TimeProvider
{
    public DateTimeOffset Now { get; set; } = start;

    public override DateTimeOffset GetUtcNow() => Now;
}
