using NutrientLedger.Agronomy.Fields;
using NutrientLedger.Journal;
using NutrientLedger.Journal.Definitions;
using NutrientLedger.Journal.Fields;
using NutrientLedger.Journal.StoredEvents;
using NutrientLedger.Ledger.Configuration;
using NutrientLedger.Web.Import.Farms;

namespace NutrientLedger.Integration.Tests.Web.Import.Farms;

/// <summary>
/// What a farm is after a sequence of imports, said in the plainest way: a table of entries that each file overwrites.
/// A file that withdraws takes away all that it does not have, but for the history of fields and factor sets.
/// </summary>
internal sealed class EditedFarm(FarmRegistered farm)
{
    private readonly SortedDictionary<string, (string Name, SortedDictionary<DateOnly, Boundary> Drawn)> fields = [];
    private readonly SortedDictionary<int, AvailabilitySetChosen> sets = [];
    private readonly Dictionary<EntryKey, IJournalEvent> others = [];

    public void Import(FarmFileContent file, bool withdraws)
    {
        if (withdraws)
            Withdraw(file);
        foreach (var (_, field, _) in file.Fields)
        {
            var drawn = fields.TryGetValue(field.FieldId, out var known) ? known.Drawn : [];
            drawn[field.ValidFrom] = field.Boundary;
            fields[field.FieldId] = (field.Name, drawn);
        }
        foreach (var entry in file.Others)
            if (entry is AvailabilitySetChosen choice)
                sets[choice.FromSeason] = choice;
            else
                others[KeyOf(entry)] = entry;
    }

    /// <summary>A fresh farm with these entries.</summary>
    public FarmConfiguration Fresh()
    {
        IEnumerable<IJournalEvent> events =
        [
            farm,
            .. others.Values.Reverse(),
            .. sets.Values,
            .. fields.SelectMany(field =>
                field.Value.Drawn.Select(
                    (drawn, place) =>
                        place == 0
                            ? (IJournalEvent)new FieldRegistered(field.Key, field.Value.Name, drawn.Value, drawn.Key)
                            : new BoundaryRedrawn(field.Key, drawn.Value, drawn.Key, "")
                )
            ),
        ];
        return events.Aggregate(FarmConfiguration.Empty, (so, @event) => so.With(@event));
    }

    private void Withdraw(FarmFileContent file)
    {
        foreach (var id in fields.Keys.ToArray())
            if (file.Fields.SingleOrDefault(it => it.Field.FieldId == id)?.Field is not { } kept)
                fields.Remove(id);
            else
                KeepHistory(fields[id].Drawn, kept);
        var from = file.Others.OfType<AvailabilitySetChosen>().SingleOrDefault()?.FromSeason ?? int.MinValue;
        foreach (var season in sets.Keys.Where(season => season > from).ToArray())
            sets.Remove(season);
        foreach (var key in others.Keys.Except(file.Others.Select(KeyOf)).ToArray())
            others.Remove(key);
    }

    /// <summary>Earlier boundaries stay, but for the file's own under another day just before.</summary>
    private static void KeepHistory(SortedDictionary<DateOnly, Boundary> drawn, FieldRegistered kept)
    {
        foreach (var day in drawn.Keys.Where(day => day > kept.ValidFrom).ToArray())
            drawn.Remove(day);
        drawn.Remove(kept.ValidFrom);
        while (drawn.Count > 0 && drawn.Values.Last() == kept.Boundary)
            drawn.Remove(drawn.Keys.Last());
    }

    private static EntryKey KeyOf(IJournalEvent entry) => EventTypes.Of(entry).KeyOf(entry)!.Value;
}
