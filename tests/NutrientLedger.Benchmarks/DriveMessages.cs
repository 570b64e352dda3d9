using System.Globalization;
using System.Text;

namespace NutrientLedger.Benchmarks;

/// <summary>Messages of driven readings and of levels, as devices send them.</summary>
internal static class DriveMessages
{
    /// <summary>One message of consecutive readings; the first has this number and this time.</summary>
    public static byte[] Spread(
        IReadOnlyCollection<DrivenReading> readings,
        long boot,
        long seq,
        long firstMs,
        int stepMs
    )
    {
        var text = Begin(boot, seq, firstMs);
        var passed = 0L;
        foreach (var reading in readings)
        {
            var at = Seconds(passed);
            Add(text, "lat", "lat", reading.Latitude, 7, at);
            Add(text, "lon", "lon", reading.Longitude, 7, at);
            Add(text, "speed", "m/s", reading.Speed, 2, at);
            Add(text, "width", "m", SpreadingDrive.WidthMetres, 0, at);
            var engaged = reading.Engaged ? "true" : "false";
            text.Append(CultureInfo.InvariantCulture, $$""",{"n":"engaged","vb":{{engaged}},"t":{{at}}}""");
            Add(text, "flow", "m3/s", reading.Flow, 5, at);
            Add(text, "total", "m3", reading.Total, 3, at);
            Add(text, "dm", "/", reading.DryMatter, 4, at);
            Add(text, "tn", "kg/m3", reading.TotalNitrogen, 2, at);
            Add(text, "nh4n", "kg/m3", reading.AmmoniumNitrogen, 2, at);
            Add(text, "p", "kg/m3", reading.Phosphorus, 2, at);
            Add(text, "k", "kg/m3", reading.Potassium, 2, at);
            passed += stepMs;
        }
        return End(text);
    }

    /// <summary>One message of consecutive levels in metres.</summary>
    public static byte[] Levels(IReadOnlyCollection<double> levels, long boot, long seq, long firstMs, int stepMs)
    {
        var text = Begin(boot, seq, firstMs);
        var passed = 0L;
        foreach (var level in levels)
        {
            Add(text, "level", "m", level, 3, Seconds(passed));
            passed += stepMs;
        }
        return End(text);
    }

    private static StringBuilder Begin(long boot, long seq, long firstMs) =>
        new StringBuilder().Append(
            CultureInfo.InvariantCulture,
            $$"""[{"bt":{{Seconds(firstMs)}},"n":"boot","v":{{boot}}},{"n":"seq","v":{{seq}}}"""
        );

    private static void Add(StringBuilder text, string name, string unit, double value, int decimals, decimal at)
    {
        var rounded = Math.Round((decimal)value, decimals);
        text.Append(CultureInfo.InvariantCulture, $$""",{"n":"{{name}}","u":"{{unit}}","v":{{rounded}},"t":{{at}}}""");
    }

    private static decimal Seconds(long milliseconds) => milliseconds / 1000m;

    private static byte[] End(StringBuilder text) => Encoding.UTF8.GetBytes(text.Append(']').ToString());
}
