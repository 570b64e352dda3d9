using NutrientLedger.Journal.Definitions;

namespace NutrientLedger.Journal.Fields;

/// <summary>
/// An entry of the farm file was taken back for the reason given. It no longer counts, as if it had never been made,
/// until it is imported again. <see cref="Entry"/> and <see cref="Key"/> are those of its <see cref="EntryKey"/>.
/// </summary>
public sealed record EntryWithdrawn(string Entry, string Key, string Reason, string By) : IDefinedEvent<EntryWithdrawn>
{
    public static EventDefinition<EntryWithdrawn> Definition { get; } =
        new("entry_withdrawn", new(EventRoute.Withdrawal, "withdraw"))
        {
            // What the entry itself changed. A correction sees that it no longer counts.
            Scope = _ => [],
            Subject = withdrawn => withdrawn.Key,
        };

    /// <summary>The key of the entry that is taken back.</summary>
    public EntryKey Withdrawn() => new(Entry, Key);
}
