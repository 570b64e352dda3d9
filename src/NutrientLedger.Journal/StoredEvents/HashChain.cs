using System.Security.Cryptography;
using System.Text;

namespace NutrientLedger.Journal.StoredEvents;

/// <summary>
/// The hash chain of a stream makes a changed, removed or inserted event visible. Each event carries a SHA-256. It
/// covers the hash before it, and the version, id, stored name and stored bytes of the event. The chain starts from the
/// names of farm and stream. <see cref="FarmChain"/> covers what one stream cannot show.
/// </summary>
public static class HashChain
{
    /// <summary>The name of the event header that carries the chain hash, in lower-case hexadecimal.</summary>
    public const string HeaderName = "chain-hash";

    /// <summary>
    /// Marks hashes of the present form. Events of database version 3 or before have hashes without it, which cover
    /// neither version nor id.
    /// </summary>
    private const string Mark = "2:";

    /// <summary>The chain hash before the first event of a stream.</summary>
    public static string Start(string farmId, string streamKey) =>
        Convert.ToHexStringLower(SHA256.HashData(Encoding.UTF8.GetBytes($"{farmId}\n{streamKey}")));

    /// <summary>The chain hash of the next event.</summary>
    public static string Next(
        string previousHash,
        long version,
        Guid id,
        string storedName,
        ReadOnlySpan<byte> stored
    ) => Mark + Hash(FormattableString.Invariant($"{previousHash}\n{version}\n{id:D}\n{storedName}\n"), stored);

    /// <summary>
    /// Whether a written chain hash is that of an event. In a stream the earlier form ends where the present one
    /// begins.
    /// </summary>
    public static bool Matches(
        string written,
        string previousHash,
        long version,
        Guid id,
        string storedName,
        ReadOnlySpan<byte> stored
    ) =>
        written
        == (
            IsMarked(written) || IsMarked(previousHash)
                ? Next(previousHash, version, id, storedName, stored)
                : Hash($"{previousHash}\n{storedName}\n", stored)
        );

    private static bool IsMarked(string hash) => hash.StartsWith(Mark, StringComparison.Ordinal);

    private static string Hash(string head, ReadOnlySpan<byte> stored)
    {
        byte[] hashed = [.. Encoding.UTF8.GetBytes(head), .. stored];
        return Convert.ToHexStringLower(SHA256.HashData(hashed));
    }
}
