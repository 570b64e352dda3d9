using System.Security.Cryptography;
using System.Text;

namespace NutrientLedger.Journal.StoredEvents;

/// <summary>
/// The chain that makes a changed, removed or inserted entry visible: each entry of a stream carries the SHA-256 of the
/// link before it, its stored name and its stored bytes. The first link of a stream starts from the stream's own name.
/// </summary>
public static class HashChain
{
    /// <summary>The name of the event header that carries the link, as lower-case hexadecimal.</summary>
    public const string HeaderName = "chain-hash";

    /// <summary>What the first entry of a stream is linked to.</summary>
    public static string Start(string farmId, string streamKey) =>
        Convert.ToHexStringLower(SHA256.HashData(Encoding.UTF8.GetBytes($"{farmId}\n{streamKey}")));

    /// <summary>The link of the next entry.</summary>
    public static string Next(string previousHash, IJournalEvent @event)
    {
        byte[] hashed =
        [
            .. Encoding.UTF8.GetBytes($"{previousHash}\n{EventTypes.NameOf(@event)}\n"),
            .. EventCodec.Encode(@event),
        ];
        return Convert.ToHexStringLower(SHA256.HashData(hashed));
    }
}
