using NutrientLedger.Web.Queries;

namespace NutrientLedger.Demo;

/// <summary>
/// The farm's time in the demo: how far the season is played while it plays at a pace, otherwise the system time.
/// </summary>
public sealed class SeasonClock(TimeProvider clock) : FarmClock(clock)
{
    public SeasonPlayback? Season { get; set; }

    public override DateTimeOffset Now => Season?.PlayedUntil ?? base.Now;
}
