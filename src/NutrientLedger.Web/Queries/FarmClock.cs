namespace NutrientLedger.Web.Queries;

/// <summary>
/// What time it is on the farms: a day is over when this is past its end. Where a recorded season is played it is the
/// season's time, or days whose readings are still to come would count as over.
/// </summary>
public class FarmClock(TimeProvider clock)
{
    public virtual DateTimeOffset Now => clock.GetUtcNow();
}
