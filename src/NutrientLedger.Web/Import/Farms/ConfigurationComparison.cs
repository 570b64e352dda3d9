using System.Text.Json;
using NutrientLedger.Agronomy.Fields;
using NutrientLedger.Journal;
using NutrientLedger.Journal.Codecs;
using NutrientLedger.Journal.Fields;
using NutrientLedger.Journal.StoredEvents;
using NutrientLedger.Json;
using NutrientLedger.Ledger.Configuration;

namespace NutrientLedger.Web.Import.Farms;

/// <summary>
/// Compares a farm file with the farm's configuration and finds what is new, what changed and what must not change.
/// </summary>
internal sealed class ConfigurationComparison
{
    private readonly List<IJournalEvent> events = [];

    public IReadOnlyList<IJournalEvent> Events => events;

    public int Unchanged { get; private set; }

    public ConfigurationComparison(
        FileProblems farmProblems,
        FileProblems fieldProblems,
        FarmFileContent content,
        FarmConfiguration configuration
    )
    {
        CompareFarm(farmProblems, content, configuration);
        var boundaries = new DrawnBoundaries(configuration);
        foreach (var field in content.Fields)
            CompareField(fieldProblems, field, configuration, boundaries);
        foreach (var @event in content.Others)
            Note(
                @event,
                configuration.Entries.TryGetValue(EventTypes.Of(@event).KeyOf(@event)!.Value, out var known)
                    && @event.Equals(known)
            );
    }

    private void CompareFarm(FileProblems problems, FarmFileContent content, FarmConfiguration configuration)
    {
        var known = configuration.Farm;
        var wanted = content.Farm;
        if (wanted.Grid == default)
            wanted = wanted with { Grid = known?.Grid ?? GridOf(content.Fields[0].Field) };
        Note(wanted, known is not null);
        if (known is not null && known != wanted)
            problems.Add(
                content.FarmLine,
                "The farm is already registered. Its name, time zone, crop year, ledger begin and coverage step cannot "
                    + $"change: {JsonSerializer.Serialize(known, EventJson.Options)}. "
                    + "Restore these values, or use a new farm id."
            );
    }

    private void CompareField(
        FileProblems problems,
        FieldFeature wanted,
        FarmConfiguration configuration,
        DrawnBoundaries boundaries
    )
    {
        var field = wanted.Field;
        var registered = configuration.Recorded<FieldRegistered>().LastOrDefault(it => it.FieldId == field.FieldId);
        var drawn = boundaries.Of(field.FieldId);
        var redrawn = !(drawn.TryGetValue(field.ValidFrom, out var before) && before == field.Boundary);
        if (registered is null)
            Note(field, false);
        else if (redrawn && wanted.ChangeReason is null)
            problems.Add(
                wanted.Line,
                drawn.LastOrDefault(it => it.Key < field.ValidFrom) is { Value: { } same, Key: var day }
                && same == field.Boundary
                    ? FormattableString.Invariant(
                        $"field \"{field.FieldId}\" has this boundary from {day:yyyy-MM-dd} already; write that day as \"validFrom\", or take it back with --withdraw."
                    )
                    : $"field \"{field.FieldId}\" has a new boundary; write from which day "
                        + "(\"validFrom\") and why (\"changeReason\") in the field's properties."
            );
        else
        {
            if (redrawn)
                Note(new BoundaryRedrawn(field.FieldId, field.Boundary, field.ValidFrom, wanted.ChangeReason!), false);
            if (registered.Name != field.Name || !redrawn)
                Note(field, registered.Name == field.Name);
        }
    }

    private void Note(IJournalEvent @event, bool unchanged)
    {
        if (unchanged)
            Unchanged++;
        else
            events.Add(@event);
    }

    private static CoverageGrid GridOf(FieldRegistered field) =>
        CoverageGrid.At(field.Boundary.Parts[0].Outer.Corners[0].LatitudeE7);
}
