using System.Globalization;
using System.Text.RegularExpressions;
using NutrientLedger.Web;

namespace NutrientLedger.Browser.Tests;

/// <summary>
/// The colours of the page meet the contrast of WCAG 2.2, level AA: 4.5 to 1 for text (success criterion 1.4.3) and 3
/// to 1 for graphics needed to understand the content (1.4.11); both values and the formula from memory.
/// </summary>
public partial class ContrastTests
{
    private const double ForText = 4.5;
    private const double ForGraphics = 3;

    public static TheoryData<string> Schemes => ["light", "dark"];

    [Theory]
    [MemberData(nameof(Schemes))]
    public void Every_text_has_contrast_to_its_background(string scheme)
    {
        var colours = Colours(scheme);
        foreach (var text in new[] { "ink", "soft", "link" })
        foreach (var ground in new[] { "paper", "leaf" })
            Enough(colours, text, ground, ForText);
        Enough(colours, "alarm", "leaf", ForText);
        Enough(colours, "ink", "caution", ForText);
        Enough(colours, "ink", "alarm-ground", ForText);
    }

    [Theory]
    [MemberData(nameof(Schemes))]
    public void Every_bar_has_contrast_to_its_track_and_its_background(string scheme)
    {
        var colours = Colours(scheme);
        foreach (var bar in new[] { "tone-nitrogen", "tone-p2o5", "tone-k2o", "tone-pit", "strong-rule" })
        foreach (var ground in new[] { "leaf", "track" })
            Enough(colours, bar, ground, ForGraphics);
    }

    private static void Enough(Dictionary<string, string> colours, string front, string ground, double least)
    {
        var (one, other) = (Luminance(colours[front]), Luminance(colours[ground]));
        var ratio = (Math.Max(one, other) + 0.05) / (Math.Min(one, other) + 0.05);
        Assert.True(ratio >= least, $"{front} on {ground}: {ratio:0.00} to 1, at least {least} is needed.");
    }

    private static Dictionary<string, string> Colours(string scheme)
    {
        using var stream = typeof(WebSetup).Assembly.GetManifestResourceStream("page/paper.css")!;
        using var reader = new StreamReader(stream);
        var css = reader.ReadToEnd();
        var start = scheme == "dark" ? css.IndexOf("prefers-color-scheme: dark", StringComparison.Ordinal) : 0;
        var block = css[start..css.IndexOf('}', start)];
        return Colour().Matches(block).ToDictionary(match => match.Groups[1].Value, match => match.Groups[2].Value);
    }

    private static double Luminance(string hex)
    {
        var (red, green, blue) = (Channel(hex[0..2]), Channel(hex[2..4]), Channel(hex[4..6]));
        return 0.2126 * red + 0.7152 * green + 0.0722 * blue;
    }

    private static double Channel(string hex)
    {
        var value = int.Parse(hex, NumberStyles.HexNumber, CultureInfo.InvariantCulture) / 255.0;
        return value <= 0.04045 ? value / 12.92 : Math.Pow((value + 0.055) / 1.055, 2.4);
    }

    [GeneratedRegex("--([a-z0-9-]+): #([0-9a-f]{6});")]
    private static partial Regex Colour();
}
