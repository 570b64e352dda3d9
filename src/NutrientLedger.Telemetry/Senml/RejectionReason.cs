using System.Globalization;

namespace NutrientLedger.Telemetry.Senml;

/// <summary>Writes a reason with numbers as the wire has them, whatever the machine's language.</summary>
internal static class RejectionReason
{
    private const int QuotedLengthMax = 160;

    public static string Of(FormattableString text) => text.ToString(CultureInfo.InvariantCulture);

    /// <summary>What a sender wrote, fit to stand in a reason: short, and with nothing in it that a database would refuse.</summary>
    public static string Quoted(string text) =>
        string.Create(
            Math.Min(text.Length, QuotedLengthMax),
            text,
            (quoted, whole) =>
            {
                for (var i = 0; i < quoted.Length; i++)
                    quoted[i] = whole[i] is >= ' ' and <= '~' ? whole[i] : '?';
            }
        );
}
