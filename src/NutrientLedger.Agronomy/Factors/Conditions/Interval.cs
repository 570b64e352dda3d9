using System.Globalization;
using System.Text.RegularExpressions;

namespace NutrientLedger.Agronomy.Factors.Conditions;

/// <summary>
/// A range of numbers. <c>[12,96]</c> includes both ends; <c>(24,48]</c> excludes the first. The end <c>never</c> is
/// later than any number.
/// </summary>
public readonly partial record struct Interval(double Low, bool LowIncluded, double High, bool HighIncluded)
{
    private const string Never = "never";

    public static Interval Just(double number) => new(number, true, number, true);

    public static Interval? Parse(string text)
    {
        if (text == Never)
            return Just(double.PositiveInfinity);
        var written = Written().Match(text);
        if (
            !written.Success
            || Number(written.Groups["low"].Value) is not { } low
            || Number(written.Groups["high"].Value) is not { } high
        )
            return null;
        var interval = new Interval(
            low,
            written.Groups["open"].Value == "[",
            high,
            written.Groups["close"].Value == "]"
        );
        return interval.Contains(low) || low < high ? interval : null;
    }

    public bool Contains(double number) =>
        (LowIncluded ? number >= Low : number > Low) && (HighIncluded ? number <= High : number < High);

    public bool Overlaps(Interval other)
    {
        var low = Low > other.Low || (Low == other.Low && !LowIncluded) ? this : other;
        var high = High < other.High || (High == other.High && !HighIncluded) ? this : other;
        return low.Low < high.High || (low.Low == high.High && low.LowIncluded && high.HighIncluded);
    }

    public override string ToString() =>
        Low == High
            ? Plain(Low)
            : $"{(LowIncluded ? "" : "over ")}{Plain(Low)} to {(HighIncluded ? "" : "under ")}{Plain(High)}";

    private static double? Number(string text) =>
        text == Never ? double.PositiveInfinity
        : double.TryParse(text, NumberStyles.Float, CultureInfo.InvariantCulture, out var number) ? number
        : null;

    private static string Plain(double number) =>
        double.IsPositiveInfinity(number) ? Never : number.ToString("0.###", CultureInfo.InvariantCulture);

    [GeneratedRegex(@"^(?<open>[\[(])\s*(?<low>[^,\s]+)\s*,\s*(?<high>[^,\s]+)\s*(?<close>[\])])$")]
    private static partial Regex Written();
}
