using System.Globalization;

namespace NutrientLedger.Telemetry.Senml;

/// <summary>Writes reasons for rejections. Numbers look as on the wire, whatever the machine's language.</summary>
internal static class RejectionReason
{
    private const int QuotedLengthMax = 160;

    public static string Of(FormattableString text) => text.ToString(CultureInfo.InvariantCulture);

    /// <summary>
    /// A device's text made fit for a reason: at most 160 characters, with a question mark for all but printable ASCII.
    /// </summary>
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
