namespace NutrientLedger.Ledger.Weather;

/// <summary>
/// Rain of a period from the running totals of rain gauges. A total that falls back is a gauge reset to 0, not rain.
/// Totals of different gauges are never compared. Where several gauges measure, their arithmetic mean counts (World
/// Meteorological Organization, Guide to Hydrological Practices, areal rainfall; from memory).
/// </summary>
internal static class FallenRain
{
    /// <summary>
    /// The rain from one moment up to another in micrometres. Rain between two readings of a gauge is shared out evenly
    /// over the time between them. Null where no gauge has readings around any part of the period.
    /// </summary>
    public static double? Micrometres(IEnumerable<RainTotal> totals, long from, long until)
    {
        var gauges = Gauges(totals)
            .Select(gauge => Within(gauge, from, until))
            .Where(gauge => gauge.Length > 0)
            .ToArray();
        if (gauges.Length == 0)
            return null;
        long[] moments =
        [
            .. gauges
                .SelectMany(gauge => gauge)
                .SelectMany(rain => new[] { Math.Max(rain.From, from), Math.Min(rain.Until, until) })
                .Distinct()
                .Order(),
        ];
        var fallen = 0.0;
        var next = new int[gauges.Length];
        foreach (var (begin, end) in moments.Zip(moments.Skip(1)))
        {
            var (sum, measuring) = (0.0, 0);
            for (var i = 0; i < gauges.Length; i++)
            {
                while (next[i] < gauges[i].Length && gauges[i][next[i]].Until <= begin)
                    next[i]++;
                if (next[i] == gauges[i].Length || gauges[i][next[i]].From > begin)
                    continue;
                var rain = gauges[i][next[i]];
                sum += (double)(end - begin) / (rain.Until - rain.From) * rain.Micrometres;
                measuring++;
            }
            if (measuring > 0)
                fallen += sum / measuring;
        }
        return fallen;
    }

    /// <summary>The times between two readings of a gauge in which rain fell (ms since 1970), in order.</summary>
    public static IEnumerable<(long From, long Until)> Falls(IEnumerable<RainTotal> totals) =>
        Gauges(totals)
            .SelectMany(gauge => gauge)
            .Where(rain => rain.Micrometres > 0)
            .Select(rain => (rain.From, rain.Until))
            .Order();

    private static Rain[] Within(Rain[] gauge, long from, long until) =>
        [.. gauge.Where(rain => rain.From < until && rain.Until > from)];

    /// <summary>What each gauge measured from reading to reading, in order of time.</summary>
    private static IEnumerable<Rain[]> Gauges(IEnumerable<RainTotal> totals)
    {
        foreach (
            var gauge in totals.GroupBy(total => total.GaugeId).OrderBy(gauge => gauge.Key, StringComparer.Ordinal)
        )
        {
            // Two totals of one moment have an order of their own, not that of their arrival.
            RainTotal[] inOrder = [.. gauge.OrderBy(total => total.AtMilliseconds).ThenBy(total => total.Micrometres)];
            yield return
            [
                .. inOrder
                    .Zip(inOrder.Skip(1))
                    .Where(pair => pair.First.AtMilliseconds < pair.Second.AtMilliseconds)
                    .Select(pair => new Rain(
                        pair.First.AtMilliseconds,
                        pair.Second.AtMilliseconds,
                        Math.Max(0, pair.Second.Micrometres - pair.First.Micrometres)
                    )),
            ];
        }
    }

    private readonly record struct Rain(long From, long Until, long Micrometres);
}
