using NutrientLedger.Ledger.Configuration;

namespace NutrientLedger.Ledger.Sampling;

/// <summary>
/// The days of samples. Samples of one farm day share an error of the sensor, of the pit and of its agitation. So do
/// samples whose windows overlap, because they share readings. Either way they count as one day.
/// </summary>
internal static class SampleDays
{
    /// <summary>The number of each window's day, from 0 on in the order of time.</summary>
    public static int[] Of(IReadOnlyList<SampledWindow> windows, FarmCalendar calendar)
    {
        var numbers = new int[windows.Count];
        var days = new HashSet<DateOnly>();
        var (number, until) = (-1, long.MinValue);
        foreach (var i in Enumerable.Range(0, windows.Count).OrderBy(i => windows[i].FromMilliseconds))
        {
            var window = windows[i];
            var day = calendar.DayAt(ConfigurationIndex.Milliseconds(window.Result.SampledFrom));
            if (window.FromMilliseconds >= until && !days.Contains(day))
            {
                number++;
                days.Clear();
            }
            days.Add(day);
            until = Math.Max(until, window.UntilMilliseconds);
            numbers[i] = number;
        }
        return numbers;
    }
}
