namespace NutrientLedger.Web.Queries;

/// <summary>
/// The current time on the farms; a day is over when this is past its end. While a recorded season is played, it is the
/// season's time. Otherwise days with readings still to come would count as over.
/// </summary>
public class FarmClock(TimeProvider clock)
{
    public virtual DateTimeOffset Now => clock.GetUtcNow();
}
