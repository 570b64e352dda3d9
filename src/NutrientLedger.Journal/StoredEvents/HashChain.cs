using System.Security.Cryptography;
using System.Text;

namespace NutrientLedger.Journal.StoredEvents;

/// <summary>
/// The hash chain makes a changed, removed or inserted event visible. Each event of a stream carries a SHA-256. It
/// covers the hash before it, the stored name and the stored bytes. The chain of a stream starts from the stream's own
/// name.
/// </summary>
public static class HashChain
{
    /// <summary>The name of the event header that carries the chain hash, in lower-case hexadecimal.</summary>
    public const string HeaderName = "chain-hash";

    /// <summary>The chain hash before the first event of a stream.</summary>
    public static string Start(string farmId, string streamKey) =>
        Convert.ToHexStringLower(SHA256.HashData(Encoding.UTF8.GetBytes($"{farmId}\n{streamKey}")));

    /// <summary>The chain hash of the next event.</summary>
    public static string Next(string previousHash, IJournalEvent @event) =>
        Next(previousHash, EventTypes.NameOf(@event), EventCodec.Encode(@event));

    /// <summary>The chain hash of the next event, from its stored name and stored bytes.</summary>
    public static string Next(string previousHash, string storedName, ReadOnlySpan<byte> stored)
    {
        byte[] hashed = [.. Encoding.UTF8.GetBytes($"{previousHash}\n{storedName}\n"), .. stored];
        return Convert.ToHexStringLower(SHA256.HashData(hashed));
    }
}
