using System.Collections.Frozen;
using System.Collections.Immutable;
using NutrientLedger.Journal;
using NutrientLedger.Journal.Definitions;
using NutrientLedger.Journal.Fields;
using NutrientLedger.Journal.StoredEvents;

namespace NutrientLedger.Ledger.Configuration;

/// <summary>
/// What counts of all that was recorded. Of entries of the farm file with equal keys only the later one does, and none
/// that was withdrawn since.
/// </summary>
internal sealed class EntriesInForce
{
    public EntriesInForce(IEnumerable<IJournalEvent> recorded)
    {
        var events = new List<IJournalEvent?>();
        var places = new Dictionary<EntryKey, int>();
        foreach (var @event in recorded)
        {
            var key = @event is EntryWithdrawn withdrawn ? withdrawn.Withdrawn() : EventTypes.Of(@event).KeyOf(@event);
            if (key is { } answered && places.Remove(answered, out var earlier))
                events[earlier] = null;
            if (@event is EntryWithdrawn)
                continue;
            if (key is { } entry)
                places[entry] = events.Count;
            events.Add(@event);
        }
        Events = [.. events.OfType<IJournalEvent>()];
        ByKey = places.ToFrozenDictionary(place => place.Key, place => events[place.Value]!);
    }

    /// <summary>In the order of the journal.</summary>
    public ImmutableArray<IJournalEvent> Events { get; }

    /// <summary>The entries of the farm file among them.</summary>
    public FrozenDictionary<EntryKey, IJournalEvent> ByKey { get; }
}
