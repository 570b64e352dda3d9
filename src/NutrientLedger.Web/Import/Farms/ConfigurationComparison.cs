using System.Text.Json;
using NutrientLedger.Agronomy.Fields;
using NutrientLedger.Journal;
using NutrientLedger.Journal.Codecs;
using NutrientLedger.Journal.Fields;
using NutrientLedger.Journal.StoredEvents;
using NutrientLedger.Json;
using NutrientLedger.Persistence.Configuration;

namespace NutrientLedger.Web.Import.Farms;

/// <summary>
/// Compares a farm file with the farm's configuration and finds what is new, what changed and what must not change.
/// </summary>
internal sealed class ConfigurationComparison
{
    private readonly List<IJournalEvent> events = [];

    public IReadOnlyList<IJournalEvent> Events => events;

    public int Unchanged { get; private set; }

    public ConfigurationComparison(FarmFile file, FarmFileContent content, ConfigurationSnapshot configuration)
    {
        // The latest event under a key is in force, even if an older one equals the file.
        var inForce = new Dictionary<object, IJournalEvent>();
        foreach (var recorded in configuration.Events)
            if (EventTypes.Of(recorded.Event).KeyOf(recorded.Event) is { } key)
                inForce[key] = recorded.Event;

        CompareFarm(file.FarmProblems, content, configuration);
        foreach (var field in content.Fields)
            CompareField(file.FieldProblems!, field, configuration);
        foreach (var @event in content.Others)
            Note(
                @event,
                inForce.TryGetValue(EventTypes.Of(@event).KeyOf(@event)!, out var known) && @event.Equals(known)
            );
    }

    private void CompareFarm(FileProblems problems, FarmFileContent content, ConfigurationSnapshot configuration)
    {
        var known = configuration.Events.Select(recorded => recorded.Event).OfType<FarmRegistered>().LastOrDefault();
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

    private void CompareField(FileProblems problems, FieldFeature wanted, ConfigurationSnapshot configuration)
    {
        var field = wanted.Field;
        FieldRegistered? registered = null;
        var drawn = new SortedDictionary<DateOnly, Boundary>();
        foreach (var recorded in configuration.Events)
            switch (recorded.Event)
            {
                case FieldRegistered @event when @event.FieldId == field.FieldId:
                    registered = @event;
                    drawn[@event.ValidFrom] = @event.Boundary;
                    break;
                case BoundaryRedrawn @event when @event.FieldId == field.FieldId:
                    drawn[@event.ValidFrom] = @event.Boundary;
                    break;
                default:
                    break;
            }
        var redrawn = !(drawn.TryGetValue(field.ValidFrom, out var before) && before == field.Boundary);
        if (registered is null)
            Note(field, false);
        else if (redrawn && wanted.ChangeReason is null)
            problems.Add(
                wanted.Line,
                $"field \"{field.FieldId}\" has a new boundary; write from which day "
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
