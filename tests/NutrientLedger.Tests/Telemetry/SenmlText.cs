using System.Globalization;
using System.Text;
using NutrientLedger.Journal;

namespace NutrientLedger.Tests.Telemetry;

/// <summary>
/// Writes SenML JSON by hand, sharing no code with the decoder under test. Whole numbers of the journal become the
/// exact decimals a device would print.
/// </summary>
internal static class SenmlText
{
    /// <summary>Name, unit and decimal places of each column after the time.</summary>
    public static readonly (string Name, string? Unit, int Places)[] Spread =
    [
        ("lat", "lat", 7),
        ("lon", "lon", 7),
        ("speed", "m/s", 3),
        ("width", "m", 3),
        ("engaged", null, 0),
        ("flow", "m3/s", 6),
        ("total", "m3", 6),
        ("dm", "/", 6),
        ("tn", "kg/m3", 3),
        ("nh4n", "kg/m3", 3),
        ("p", "kg/m3", 3),
        ("k", "kg/m3", 3),
    ];

    public static readonly (string Name, string? Unit, int Places)[] Store = [("level", "m", 3), ("temp", "Cel", 3)];

    public static readonly (string Name, string? Unit, int Places)[] Weather =
    [
        ("temp", "Cel", 3),
        ("wind", "m/s", 3),
        ("rain", "m", 6),
        ("rh", "%RH", 3),
    ];

    public static string Message<TReading>(
        (string Name, string? Unit, int Places)[] columns,
        long boot,
        long seq,
        IReadOnlyList<TReading> readings
    )
        where TReading : struct, IReading<TReading>
    {
        var baseTime = readings[0].MeasuredAtMilliseconds / 1000;
        var text = new StringBuilder();
        text.Append(CultureInfo.InvariantCulture, $$"""[{"bt":{{baseTime}},"n":"boot","u":"count","v":{{boot}}}""");
        text.Append(CultureInfo.InvariantCulture, $$""",{"n":"seq","v":{{seq}}}""");
        foreach (var reading in readings)
        {
            var offset = Plain(reading.MeasuredAtMilliseconds - (baseTime * 1000), 3);
            for (var column = 1; column <= columns.Length; column++)
            {
                if (reading.Column(column) is not { } value)
                    continue;
                var (name, unit, places) = columns[column - 1];
                var shown = unit is null
                    ? $"\"vb\":{(value == 1 ? "true" : "false")}"
                    : $"\"u\":\"{unit}\",\"v\":{Plain(value, places)}";
                text.Append(CultureInfo.InvariantCulture, $$""",{"n":"{{name}}","t":{{offset}},{{shown}}}""");
            }
        }
        return text.Append(']').ToString();
    }

    private static string Plain(long whole, int places) =>
        new decimal((int)Math.Abs(whole), (int)(Math.Abs(whole) >> 32), 0, whole < 0, (byte)places).ToString(
            CultureInfo.InvariantCulture
        );
}
