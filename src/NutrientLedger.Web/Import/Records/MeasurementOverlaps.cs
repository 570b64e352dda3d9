using NutrientLedger.Journal;
using NutrientLedger.Journal.Storage;
using NutrientLedger.Json;
using NutrientLedger.Ledger.Configuration;

namespace NutrientLedger.Web.Import.Records;

/// <summary>
/// Rejects a measurement over a period that overlaps another of the same kind, because an inflow or evaporation counts
/// once. The same record again is no overlap.
/// </summary>
internal sealed class MeasurementOverlaps
{
    private readonly Dictionary<object, List<Stretch>> known = [];

    private sealed record Stretch(
        IJournalEvent Event,
        object Of,
        string InWords,
        DateTimeOffset From,
        DateTimeOffset Until
    );

    public MeasurementOverlaps(FarmConfiguration configuration)
    {
        foreach (var @event in configuration.Recorded<IJournalEvent>())
            if (StretchOf(@event) is { } stretch)
                Known(stretch).Add(stretch);
    }

    /// <summary>Adds a record. Reports the first known one that it overlaps.</summary>
    public void Add(JsonObjectReader record, IJournalEvent @event)
    {
        if (StretchOf(@event) is not { } read)
            return;
        var overlapped = Known(read)
            .FirstOrDefault(other => !other.Event.Equals(@event) && other.From < read.Until && read.From < other.Until);
        if (overlapped is not null)
            record.AddProblem(
                "from",
                $"from {overlapped.From:yyyy-MM-dd HH:mm} until {overlapped.Until:yyyy-MM-dd HH:mm} (UTC) this {read.InWords} is already recorded; periods must not overlap."
            );
        Known(read).Add(read);
    }

    private List<Stretch> Known(Stretch stretch) =>
        known.TryGetValue(stretch.Of, out var there) ? there : known[stretch.Of] = [];

    private static Stretch? StretchOf(IJournalEvent @event) =>
        @event switch
        {
            PitInflowMeasured inflow => new(
                @event,
                (inflow.PitId, inflow.Kind),
                "inflow",
                inflow.From.ToUniversalTime(),
                inflow.Until.ToUniversalTime()
            ),
            EvaporationMeasured evaporated => new(
                @event,
                (evaporated.PitId, "evaporation"),
                "evaporation",
                evaporated.From.ToUniversalTime(),
                evaporated.Until.ToUniversalTime()
            ),
            _ => null,
        };
}
