using NutrientLedger.Journal;
using NutrientLedger.Journal.Definitions;
using NutrientLedger.Journal.Fields;
using NutrientLedger.Journal.StoredEvents;
using NutrientLedger.Ledger.Configuration;

namespace NutrientLedger.Web.Import.Farms;

/// <summary>
/// Entries of a farm that count, but are not in its file. A file holds one boundary of a field and one factor set.
/// Those from earlier days or seasons than the file's are history and not missing.
/// </summary>
internal sealed class MissingEntries
{
    private readonly HashSet<EntryKey?> keys;
    private readonly Dictionary<string, (DateOnly From, DateOnly HistoryBefore)> fields = [];
    private readonly int? setFrom;

    private MissingEntries(FarmFileContent content, FarmConfiguration configuration)
    {
        keys = [.. content.Others.Select(entry => EventTypes.Of(entry).KeyOf(entry))];
        setFrom = content.Others.OfType<AvailabilitySetChosen>().LastOrDefault()?.FromSeason;
        var drawn = new DrawnBoundaries(configuration);
        foreach (var (_, field, _) in content.Fields)
            fields[field.FieldId] = (field.ValidFrom, HistoryBefore(field, drawn));
    }

    /// <summary>The entries in the order of the journal.</summary>
    public static IReadOnlyList<IJournalEvent> Of(FarmFileContent content, FarmConfiguration configuration)
    {
        var file = new MissingEntries(content, configuration);
        return
        [
            .. configuration
                .Recorded<IJournalEvent>()
                .Where(entry => EventTypes.Of(entry).KeyOf(entry) is { } key && !file.Has(entry, key)),
        ];
    }

    private bool Has(IJournalEvent entry, EntryKey key) =>
        entry switch
        {
            FarmRegistered => true,
            FieldRegistered field => Has(field.FieldId, field.ValidFrom),
            BoundaryRedrawn redrawn => Has(redrawn.FieldId, redrawn.ValidFrom),
            AvailabilitySetChosen choice => choice.FromSeason <= setFrom,
            _ => keys.Contains(key),
        };

    private bool Has(string fieldId, DateOnly day) =>
        fields.TryGetValue(fieldId, out var field) && (day == field.From || day < field.HistoryBefore);

    /// <summary>
    /// A boundary that follows itself is no history: the file gives it another day. So the earlier day was a slip.
    /// </summary>
    private static DateOnly HistoryBefore(FieldRegistered field, DrawnBoundaries drawn)
    {
        var day = field.ValidFrom;
        foreach (var (earlier, boundary) in drawn.Of(field.FieldId).Reverse().Where(it => it.Key < field.ValidFrom))
            if (boundary == field.Boundary)
                day = earlier;
            else
                break;
        return day;
    }
}
