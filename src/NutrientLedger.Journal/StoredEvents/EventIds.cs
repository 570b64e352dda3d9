using System.Security.Cryptography;
using System.Text;

namespace NutrientLedger.Journal.StoredEvents;

/// <summary>
/// Ids derived from the content of an event (UUID version 5, RFC 9562 section 5.5). The same readings sent twice get
/// the same id. The database rejects the second.
/// </summary>
public static class EventIds
{
    /// <summary>
    /// The name space of this hub's ids: the version 5 id of "nutrient-ledger/journal/v1" in RFC 9562's URL space.
    /// </summary>
    private static readonly Guid Namespace = Version5(
        Guid.Parse("6ba7b811-9dad-11d1-80b4-00c04fd430c8"),
        "nutrient-ledger/journal/v1"
    );

    /// <summary>The id of a batch, from its farm, equipment, stream, boot and first number.</summary>
    public static Guid OfBatch(string farmId, TelemetryStream stream, string equipmentId, long boot, long firstSeq) =>
        Version5(Namespace, FormattableString.Invariant($"{farmId}/{equipmentId}/{stream}/{boot}/{firstSeq}"));

    /// <summary>
    /// The id of a configuration event, from its farm, its place in the configuration stream and its content.
    /// </summary>
    public static Guid OfConfigurationEvent(string farmId, long position, IJournalEvent @event) =>
        Version5(
            Namespace,
            FormattableString.Invariant(
                $"{farmId}/configuration/{position}/{EventTypes.NameOf(@event)}/{Encoding.UTF8.GetString(EventCodec.Encode(@event))}"
            )
        );

    /// <summary>
    /// A version 5 id: the SHA-1 of the space's bytes and the name, with version and variant bits set.
    /// </summary>
    public static Guid Version5(Guid space, string name)
    {
        Span<byte> start = stackalloc byte[16];
        space.TryWriteBytes(start, bigEndian: true, out _);
        byte[] whole = [.. start, .. Encoding.UTF8.GetBytes(name)];
#pragma warning disable CA5350 // RFC 9562 prescribes SHA-1 for version 5; nothing here rests on it being hard to forge.
        var id = SHA1.HashData(whole).AsSpan(0, 16);
#pragma warning restore CA5350
        id[6] = (byte)((id[6] & 0x0F) | 0x50);
        id[8] = (byte)((id[8] & 0x3F) | 0x80);
        return new(id, bigEndian: true);
    }
}
