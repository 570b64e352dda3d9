using System.Globalization;
using System.Text;

namespace NutrientLedger.Integration.Tests.Faults;

/// <summary>Valid messages of an invented drag line, and twelve ways to corrupt one.</summary>
internal static class CorruptMessages
{
    public const int ReadingsEach = 5;

    public static readonly IReadOnlyList<(string Kind, Func<string, byte[]> Corrupt)> Kinds =
    [
        ("cut short", text => Encoding.UTF8.GetBytes(text[..^7])),
        ("empty", _ => []),
        ("bytes that are not UTF-8", text => [0xff, 0xfe, .. Encoding.UTF8.GetBytes(text)]),
        ("an object instead of a list", text => Encoding.UTF8.GetBytes("{\"e\":" + text + "}")),
        ("no number where one belongs", text => Replaced(text, "\"v\":12.0", "\"v\":NaN")),
        ("a number in quotes", text => Replaced(text, "\"v\":12.0", "\"v\":\"12.0\"")),
        ("another unit", text => Replaced(text, "\"u\":\"m3\"", "\"u\":\"gal\"")),
        ("a width of the moon", text => Replaced(text, "\"v\":12.0", "\"v\":3474800")),
        ("without numbers", text => Replaced(text, "\"n\":\"seq\"", "\"n\":\"sequence\"")),
        ("started less than never", text => Replaced(text, "\"n\":\"boot\",\"v\":1", "\"n\":\"boot\",\"v\":-1")),
        ("a time that means the moment of sending", text => Replaced(text, "\"bt\":1", "\"bt\":0,\"t\":-1")),
        (
            "a number that no drag line has counted to",
            text => Replaced(text, "\"n\":\"seq\",\"v\":", "\"n\":\"seq\",\"v\":9000000000")
        ),
    ];

    /// <summary>
    /// Five readings, one a second, from the given number on: north through field East of the small farm at 2 m/s and
    /// 10 L/s, turning back every minute.
    /// </summary>
    public static string Spreading(long firstSeq)
    {
        var text = new StringBuilder();
        for (var seq = firstSeq; seq < firstSeq + ReadingsEach; seq++)
        {
            var along = seq % 60 < 30 ? seq % 60 : 60 - (seq % 60);
            text.Append(
                string.Create(
                    CultureInfo.InvariantCulture,
                    $$"""
                    {{(seq == firstSeq ? "[" : ",")}}{"bt":{{1_776_780_000 + seq}},"n":"lat","u":"lat","v":{{43.0002
                        + (
                            along * 0.000018
                        ):0.0000000}}},{"n":"lon","u":"lon","v":-91.011},{"n":"width","u":"m","v":12.0},{"n":"engaged","vb":true},{"n":"total","u":"m3","v":{{seq
                        * 0.01:0.00}}},{"n":"tn","u":"kg/m3","v":4.{{seq % 10}}}
                    """
                )
            );
            if (seq == firstSeq)
                text.Append(CultureInfo.InvariantCulture, $",{{\"n\":\"boot\",\"v\":1}},{{\"n\":\"seq\",\"v\":{seq}}}");
        }
        return text.Append(']').ToString();
    }

    /// <summary>A corrupt message that contains its origin, for the reader of a failing test.</summary>
    public static byte[] Corrupted(int kind, long firstSeq) => Kinds[kind].Corrupt(Spreading(firstSeq));

    private static byte[] Replaced(string text, string from, string to)
    {
        Assert.Contains(from, text, StringComparison.Ordinal);
        return Encoding.UTF8.GetBytes(text.Replace(from, to, StringComparison.Ordinal));
    }
}
