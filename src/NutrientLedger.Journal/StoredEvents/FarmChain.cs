using System.Globalization;
using System.Security.Cryptography;
using System.Text;

namespace NutrientLedger.Journal.StoredEvents;

/// <summary>
/// The hash chain of a farm runs over all its events in the order of their positions. Each event has a SHA-256 beside
/// it. It covers the hash before it, and the event's position, time of recording and chain hash in its stream. So it
/// shows an event moved in time or place, and a stream that is gone. The chain starts from the farm's id.
/// </summary>
public static class FarmChain
{
    /// <summary>The hash before a farm's first event.</summary>
    public static byte[] Start(string farmId) => SHA256.HashData(Encoding.UTF8.GetBytes(farmId));

    /// <summary>The hash of the next event.</summary>
    /// <param name="before">The hash before.</param>
    /// <param name="position">The event's position in the journal.</param>
    /// <param name="recordedAt">When it was recorded, in whole microseconds.</param>
    /// <param name="streamHash">Its chain hash in its stream.</param>
    public static byte[] Next(byte[] before, long position, DateTimeOffset recordedAt, string streamHash)
    {
        var microseconds = (recordedAt - DateTimeOffset.UnixEpoch).Ticks / TimeSpan.TicksPerMicrosecond;
        return SHA256.HashData([
            .. before,
            .. Encoding.UTF8.GetBytes(
                string.Create(CultureInfo.InvariantCulture, $"{position}\n{microseconds}\n{streamHash}")
            ),
        ]);
    }

    /// <summary>One hash over the chains of farms, in lower-case hexadecimal.</summary>
    /// <param name="farms">
    /// Each farm's id, its last position, and the hash of its chain there in lower-case hexadecimal. In any order.
    /// </param>
    public static string OfAll(IEnumerable<(string FarmId, long Position, string ChainHash)> farms) =>
        Convert.ToHexStringLower(
            SHA256.HashData(
                Encoding.UTF8.GetBytes(
                    string.Concat(
                        farms
                            .OrderBy(farm => farm.FarmId, StringComparer.Ordinal)
                            .Select(farm =>
                                string.Create(
                                    CultureInfo.InvariantCulture,
                                    $"{farm.FarmId}\n{farm.Position}\n{farm.ChainHash}\n"
                                )
                            )
                    )
                )
            )
        );
}
