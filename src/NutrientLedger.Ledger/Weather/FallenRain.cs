namespace NutrientLedger.Ledger.Weather;

/// <summary>A rain gauge's running total at a moment: ms since 1970 (UTC), micrometres.</summary>
public readonly record struct RainTotal(long AtMilliseconds, long Micrometres);

/// <summary>
/// Rain of a period from the running totals of a gauge. A total that falls back is a gauge reset to 0, not rain.
/// </summary>
internal static class FallenRain
{
    /// <summary>
    /// The rain from one moment up to another in micrometres. Rain between two readings is shared out evenly over the
    /// time between them. Null where no readings lie around the period.
    /// </summary>
    public static double? Micrometres(IEnumerable<RainTotal> totals, long from, long until)
    {
        RainTotal[] inOrder = [.. InOrder(totals)];
        double? fallen = null;
        foreach (var (before, after) in inOrder.Zip(inOrder.Skip(1)))
        {
            var shared = Math.Min(until, after.AtMilliseconds) - Math.Max(from, before.AtMilliseconds);
            if (shared <= 0)
                continue;
            var share = (double)shared / (after.AtMilliseconds - before.AtMilliseconds);
            fallen = (fallen ?? 0) + share * Math.Max(0, after.Micrometres - before.Micrometres);
        }
        return fallen;
    }

    /// <summary>The times between two readings in which rain fell (ms since 1970), in order.</summary>
    public static IEnumerable<(long From, long Until)> Falls(IEnumerable<RainTotal> totals)
    {
        RainTotal[] inOrder = [.. InOrder(totals)];
        return inOrder
            .Zip(inOrder.Skip(1))
            .Where(pair => pair.Second.Micrometres > pair.First.Micrometres)
            .Select(pair => (pair.First.AtMilliseconds, pair.Second.AtMilliseconds));
    }

    // Two totals of one moment have an order of their own, not that of their arrival.
    private static IEnumerable<RainTotal> InOrder(IEnumerable<RainTotal> totals) =>
        totals.OrderBy(total => total.AtMilliseconds).ThenBy(total => total.Micrometres);
}
