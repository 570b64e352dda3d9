using System.Globalization;
using NutrientLedger.Journal;
using NutrientLedger.Journal.Definitions;
using NutrientLedger.Journal.Fields;
using NutrientLedger.Journal.StoredEvents;
using NutrientLedger.Ledger.Configuration;
using NutrientLedger.Ledger.Corrections;
using NutrientLedger.Persistence.Configuration;

namespace NutrientLedger.Web.Wording;

/// <summary>
/// Describes a stored statement in farm time and the given units. A statement stores no sentences; they are made from
/// its data and from the event at its position.
/// </summary>
/// <param name="at">The farm's configuration events, including those of the statements.</param>
/// <param name="describe">Describes a correcting event; <see cref="CorrectionWording"/> by default.</param>
internal sealed class StatementWording(
    ConfigurationSnapshot at,
    Func<IJournalEvent, DisplayUnits, string>? describe = null
)
{
    private readonly Dictionary<long, IJournalEvent> events = at.Events.ToDictionary(it => it.Position, it => it.Event);

    private readonly Lazy<Dictionary<long, IJournalEvent>> replaced = new(() => Replaced(at.Events));

    private FarmCalendar Calendar => at.Configuration.Calendar!;

    /// <summary>The farm's name and id.</summary>
    public string Farm => $"{at.Configuration.Farm!.Name} ({at.FarmId})";

    /// <summary>A pit's name and id.</summary>
    public string Pit(string pitId) => at.Configuration.Pit(pitId) is { } pit ? $"{pit.Name} ({pitId})" : pitId;

    /// <summary>A time in farm time with the UTC offset.</summary>
    public string Moment(DateTimeOffset moment) => FarmMoment.Of(Calendar, moment);

    /// <summary>What the correction did, in one sentence.</summary>
    public string What(StatementCause cause, DisplayUnits units) =>
        !events.TryGetValue(cause.Position, out var @event) ? $"An event {cause.Kind} was recorded."
        : describe is null
            ? new CorrectionWording(Calendar, units).Of(@event, replaced.Value.GetValueOrDefault(cause.Position))
        : describe(@event, units);

    /// <summary>Who decided: a person or the farm's rule; null when the event does not name one.</summary>
    public string? By(StatementCause cause, DisplayUnits units) =>
        cause.By
        ?? (
            events.TryGetValue(cause.Position, out var @event)
                ? new CorrectionWording(Calendar, units).Rule(@event)
                : null
        );

    /// <summary>The reason of the person or of the farm's rule; null when the event has none.</summary>
    public string? Reason(StatementCause cause) =>
        cause.Reason
        ?? (events.TryGetValue(cause.Position, out var @event) ? CorrectionWording.RuleReason(@event) : null);

    /// <summary>How much changed, in one sentence.</summary>
    public static string Summary(Statement statement)
    {
        var fields = statement.Fields.Select(field => field.Field).OfType<string>().Distinct().Count();
        string[] changed =
        [
            .. fields > 0 ? [Plural.Of(fields, "field")] : Array.Empty<string>(),
            .. statement.Fields.Any(field => field.Field is null) ? ["the off-field total"] : Array.Empty<string>(),
            .. statement.Levels.Length > 0
                ? [$"levels of {Plural.Of(statement.Levels.Length, "pit")}"]
                : Array.Empty<string>(),
        ];
        return changed switch
        {
            [] => "Nothing changed.",
            [var only] => $"Changed: {only}.",
            [.. var first, var last] => $"Changed: {string.Join(", ", first)} and {last}.",
        };
    }

    /// <summary>The names of what changed: fields first, then what is outside all fields, then levels.</summary>
    public string Changed(Statement statement)
    {
        string[] changed =
        [
            .. InOrder(statement)
                .Select(field => string.Create(CultureInfo.InvariantCulture, $"{Name(field)}, season {field.Season}")),
            .. statement.Levels.Select(pit => $"the level in {Plural.Of(pit.Hours, "hour")} of pit {Pit(pit.Pit)}"),
        ];
        return changed.Length == 0 ? "No season total changed." : $"Changed: {string.Join("; ", changed)}.";
    }

    /// <summary>The fields of a statement in display order.</summary>
    public static IEnumerable<StatedField> InOrder(Statement statement) =>
        statement.Fields.OrderBy(field => field.Field is null);

    /// <summary>A field's name and id.</summary>
    public static string Name(StatedField field) =>
        field.Field is null ? "outside all fields" : $"{field.Name ?? field.Field} ({field.Field})";

    /// <summary>The factor set of available nitrogen, and the reason if it is unknown.</summary>
    public string AvailableBy(StatedAvailability? available, StatementCause cause)
    {
        if (available is null)
            return "Available N: no availability set chosen for this season.";
        var source = Source(available.FactorSet, cause.Position) is { } named ? $" ({named})" : "";
        var reason = UnavailableWording.Of(available.UnavailableAfter ?? available.UnavailableBefore);
        var unknown = reason is null ? "" : $" Unknown: {reason}.";
        return $"Available N by the factor set {available.FactorSet}{source}.{unknown}";
    }

    // A farm's own set may be chosen again later with other coefficients; the statement refers to the choice before it.
    private string? Source(string setId, long position) =>
        at
            .Events.Where(it => it.Position < position)
            .Select(it => it.Event)
            .OfType<AvailabilitySetChosen>()
            .LastOrDefault(chosen => chosen.SetId == setId)
            is { } chosen
            ? ChosenSet.Of(chosen).Set?.Source
            : null;

    /// <summary>By the position of an event, the entry of the farm file that it replaced or withdrew.</summary>
    private static Dictionary<long, IJournalEvent> Replaced(IEnumerable<RecordedEvent> recorded)
    {
        var (inForce, replaced) = (new Dictionary<EntryKey, IJournalEvent>(), new Dictionary<long, IJournalEvent>());
        foreach (var (position, _, _, @event) in recorded)
        {
            var withdrawn = @event as EntryWithdrawn;
            if ((withdrawn?.Withdrawn() ?? EventTypes.Of(@event).KeyOf(@event)) is not { } key)
                continue;
            if (inForce.Remove(key, out var earlier))
                replaced[position] = earlier;
            if (withdrawn is null)
                inForce[key] = @event;
        }
        return replaced;
    }
}
