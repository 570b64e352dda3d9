using NutrientLedger.Journal;
using NutrientLedger.Journal.Fields;
using NutrientLedger.Journal.StoredEvents;

namespace NutrientLedger.Web.Import.Farms;

/// <summary>
/// Why and by whom entries are taken back that a farm file no longer has, in the person's own words. All of them, or
/// only those whose names contain some words.
/// </summary>
public sealed record Withdrawal(string Reason, string By, string? Only = null)
{
    /// <summary>Whether an entry of this name is taken back.</summary>
    internal bool Means(string name) => Only is null || name.Contains(Only, StringComparison.OrdinalIgnoreCase);

    /// <summary>The event that takes back one entry of a farm file.</summary>
    internal EntryWithdrawn Of(IJournalEvent entry)
    {
        var key = EventTypes.Of(entry).KeyOf(entry)!.Value;
        return new(key.Entry, key.Text, Reason, By);
    }
}
