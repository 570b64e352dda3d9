using NutrientLedger.Agronomy.Written;
using NutrientLedger.Journal;
using NutrientLedger.Journal.Storage;
using NutrientLedger.Ledger;

namespace NutrientLedger.Office.Import;

/// <summary>
/// Refuses what was measured for a stretch of time that overlaps another measurement of the same thing: what runs in or evaporates
/// counts once. The same record once more is no overlap.
/// </summary>
internal sealed class MeasuredOnce
{
    private readonly Dictionary<object, List<Stretch>> known = [];

    private sealed record Stretch(IEntry Entry, object Of, string InWords, DateTimeOffset From, DateTimeOffset Until);

    public MeasuredOnce(Register register)
    {
        foreach (var entry in register.Recorded<IEntry>())
            if (StretchOf(entry) is { } stretch)
                Known(stretch).Add(stretch);
    }

    /// <summary>Takes note of a record, and names the first one that it overlaps.</summary>
    public void Add(WrittenObject record, IEntry entry)
    {
        if (StretchOf(entry) is not { } read)
            return;
        var overlapped = Known(read)
            .FirstOrDefault(other => !other.Entry.Equals(entry) && other.From < read.Until && read.From < other.Until);
        if (overlapped is not null)
            record.Problem(
                "from",
                $"from {overlapped.From:yyyy-MM-dd HH:mm} until {overlapped.Until:yyyy-MM-dd HH:mm} (UTC) the same {read.InWords} is measured already; it counts once, so let the periods meet, not overlap."
            );
        Known(read).Add(read);
    }

    private List<Stretch> Known(Stretch stretch) =>
        known.TryGetValue(stretch.Of, out var there) ? there : known[stretch.Of] = [];

    private static Stretch? StretchOf(IEntry entry) =>
        entry switch
        {
            PitInflowMeasured inflow => new(
                entry,
                (inflow.PitId, inflow.Kind),
                "inflow",
                inflow.From.ToUniversalTime(),
                inflow.Until.ToUniversalTime()
            ),
            EvaporationMeasured evaporated => new(
                entry,
                (evaporated.PitId, "evaporation"),
                "evaporation",
                evaporated.From.ToUniversalTime(),
                evaporated.Until.ToUniversalTime()
            ),
            _ => null,
        };
}
