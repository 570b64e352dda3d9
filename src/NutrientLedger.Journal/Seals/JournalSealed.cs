using NutrientLedger.Journal.Definitions;

namespace NutrientLedger.Journal.Seals;

/// <summary>
/// The hub sealed a farm's journal: it recorded the hash of the farm's chain at a position, and one hash over the
/// chains of all farms at that moment. Once printed or kept elsewhere, both show whether anything before was changed
/// since.
/// </summary>
/// <param name="Position">The farm's last position before the seal.</param>
/// <param name="ChainHash">The hash of the farm's chain there, in lower-case hexadecimal.</param>
/// <param name="Farms">How many farms were sealed at once.</param>
/// <param name="AllFarmsHash">The hash over their chains. See <c>FarmChain.OfAll</c>.</param>
public sealed record JournalSealed(long Position, string ChainHash, int Farms, string AllFarmsHash)
    : IDefinedEvent<JournalSealed>
{
    public static EventDefinition<JournalSealed> Definition { get; } =
        new("journal_sealed", new(EventRoute.Hub, "seal")) { Changes = EventChanges.Nothing };
}
