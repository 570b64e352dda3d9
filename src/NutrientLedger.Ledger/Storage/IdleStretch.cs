using NutrientLedger.Agronomy.Storage;
using NutrientLedger.Journal.Storage;
using NutrientLedger.Ledger.Weather;

namespace NutrientLedger.Ledger.Storage;

/// <summary>
/// A time in which nothing was drawn, hauled or pumped over, no rain was measured and nobody stirred or saw foam: the
/// level may only move by inflow and evaporation. Milliseconds since 1970.
/// </summary>
public sealed record IdleStretch(long From, long Until, bool RainIsKnown, PitReconciliation Reconciliation)
{
    private const long HourMilliseconds = 3_600_000;

    // A level is the mean of half an hour around its moment, so both ends keep that far from what was drawn.
    private const long ApartMilliseconds = HourMilliseconds / 2;

    // Below three hours a level sensor shows nothing of a drift (common practice, no source).
    private const int HoursMin = 3;

    // One false alarm in twenty periods, over all their stretches.
    private const double FalseAlarmChance = 0.05;

    public double Hours => (Until - From) / (double)HourMilliseconds;

    /// <summary>What left the pit and nobody saw, in m³; below zero what came in unseen.</summary>
    public double UnexplainedCubicMetres => Reconciliation.Input.UnexplainedMillilitres!.Value / 1e6;

    /// <summary>The idle stretches of a period at whose ends a level is known, in order.</summary>
    public static IEnumerable<IdleStretch> Of(PitPeriod period)
    {
        // A day begins with a whole hour of farm time, as lines are posted by.
        var busy = Disturbances(period).SelectMany(it => HoursOf(period, it.From, it.Until)).ToHashSet();
        var hours = (period.Until - period.From) / HourMilliseconds;
        for (long hour = 0, begins = 0; hour <= hours; hour++)
            if (hour == hours || busy.Contains(hour))
            {
                if (hour - begins >= HoursMin && Reconciled(period, begins, hour) is { } found)
                    yield return found;
                begins = hour + 1;
            }
    }

    /// <summary>The stretches whose movement chance does not explain, the largest first.</summary>
    public static IReadOnlyList<IdleStretch> Moving(IReadOnlyCollection<IdleStretch> stretches) =>
        [
            .. stretches
                .Where(stretch => stretch.Reconciliation.Balance!.Chance < FalseAlarmChance / stretches.Count)
                .OrderByDescending(stretch => Math.Abs(stretch.UnexplainedCubicMetres)),
        ];

    private static IEnumerable<(long From, long Until)> Disturbances(PitPeriod period)
    {
        var (configuration, pitId) = (period.Configuration, period.Pit.PitId);
        return period
            .Drawn.Select(line => Moment(line.Key.HourStartSeconds * 1000))
            .Concat(configuration.Recorded<LoadsHauled>().Where(it => it.PitId == pitId).Select(it => At(it.HauledAt)))
            .Concat(
                configuration
                    .Recorded<PitTransferred>()
                    .Where(it => it.FromPitId == pitId || it.ToPitId == pitId)
                    .Select(it => At(it.MovedAt))
            )
            .Concat(
                configuration
                    .Recorded<PitNoted>()
                    .Where(it => it.PitId == pitId)
                    .Select(it => (it.From.ToUnixTimeMilliseconds(), it.Until.ToUnixTimeMilliseconds()))
            )
            .Concat(FallenRain.Falls(period.Rain));

        static (long, long) At(DateTimeOffset moment) => Moment(moment.ToUnixTimeMilliseconds());
        static (long, long) Moment(long milliseconds) => (milliseconds, milliseconds + 1);
    }

    // Hours are counted from the period's beginning.
    private static IEnumerable<long> HoursOf(PitPeriod period, long from, long until)
    {
        var (first, end) = (Math.Max(from, period.From) - period.From, Math.Min(until, period.Until) - period.From);
        for (var hour = first / HourMilliseconds; hour * HourMilliseconds < end; hour++)
            yield return hour;
    }

    private static IdleStretch? Reconciled(PitPeriod period, long firstHour, long endHour)
    {
        var stretch = period with
        {
            From = period.From + firstHour * HourMilliseconds + ApartMilliseconds,
            Until = period.From + endHour * HourMilliseconds - ApartMilliseconds,
        };
        return PitStocks.BySensor(stretch) is { } stock
            ? new(
                stretch.From,
                stretch.Until,
                FallenRain.Micrometres(period.Rain, stretch.From, stretch.Until) is not null,
                PitReconciliation.Of(
                    new(stock, null, [.. PitFlows.Inflow(stretch)], [.. PitFlows.Outflow(stretch)], [])
                )
            )
            : null;
    }
}
