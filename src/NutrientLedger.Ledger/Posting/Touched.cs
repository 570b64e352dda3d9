using NutrientLedger.Agronomy.Fields;
using NutrientLedger.Journal;
using NutrientLedger.Journal.Definitions;
using NutrientLedger.Journal.StoredEvents;
using NutrientLedger.Ledger.Configuration;

namespace NutrientLedger.Ledger.Posting;

/// <summary>
/// What of a posted ledger can change once events are recorded that change lines: lines of some applicators, coverage
/// of some fields, and level hours. Everything else may be copied. A rebuild of the whole past would give the same to
/// the last bit.
/// </summary>
public sealed class Touched
{
    // Applicators whose work can move. Visits can then appear in any field, and disappear where they have lines now.
    private readonly HashSet<string> moved = [];

    private readonly HashSet<string> applicators = [];
    private readonly HashSet<string> redrawn = [];
    private readonly HashSet<string> fields = [];

    private Touched() { }

    /// <summary>All lines of these are rebuilt.</summary>
    public IReadOnlySet<string> Applicators => applicators;

    /// <summary>
    /// Fields that visits can disappear from. Their coverage is rebuilt from all work in them, because nothing can be
    /// taken out of a tile. In other fields the visits of what is rebuilt are added.
    /// </summary>
    public IReadOnlySet<string> Fields => fields;

    /// <summary>Whether all level hours are rebuilt.</summary>
    public bool Levels { get; private set; }

    /// <summary>
    /// What the events between two configurations affect of the lines posted under the first. Null when that is
    /// everything.
    /// </summary>
    public static Touched? By(
        IEnumerable<IJournalEvent> events,
        FarmConfiguration before,
        FarmConfiguration after,
        IReadOnlyCollection<WorkedPlace> worked
    )
    {
        var touched = new Touched();
        foreach (var @event in events)
            if (!touched.Note(@event, after))
                return null;
        touched.fields.UnionWith(touched.redrawn.SelectMany(fieldId => WithNeighbours(fieldId, before, after)));
        var inFields = worked.Where(place => place.FieldId.Length > 0).ToList();
        touched.fields.UnionWith(
            inFields.Where(place => touched.moved.Contains(place.ApplicatorId)).Select(place => place.FieldId)
        );
        touched.applicators.UnionWith(touched.moved);
        touched.applicators.UnionWith(
            inFields.Where(place => touched.fields.Contains(place.FieldId)).Select(place => place.ApplicatorId)
        );
        if (touched.redrawn.Count > 0)
            touched.applicators.UnionWith(
                worked.Where(place => place is { FieldId: "", Placed: true }).Select(place => place.ApplicatorId)
            );
        touched.applicators.IntersectWith(after.Applicators.Select(applicator => applicator.ApplicatorId));
        return touched;
    }

    /// <summary>
    /// Whether visits of an applicator to a field are added to its tiles. Otherwise they are in the copied ones.
    /// </summary>
    public bool Covers(string applicatorId, string fieldId) => moved.Contains(applicatorId) || fields.Contains(fieldId);

    /// <summary>False when the event can change everything.</summary>
    private bool Note(IJournalEvent @event, FarmConfiguration after)
    {
        var type = EventTypes.Of(@event);
        return type.Changes != EventChanges.Rebuild || type.ScopeOf(@event).All(scope => Note(scope, after));
    }

    private bool Note(RebuildScope scope, FarmConfiguration after)
    {
        switch (scope)
        {
            case RebuildScope.LinesOf { ApplicatorId: { } applicator }:
                applicators.Add(applicator);
                return true;
            case RebuildScope.LinesOf:
                applicators.UnionWith(after.Applicators.Select(applicator => applicator.ApplicatorId));
                return true;
            case RebuildScope.WorkOf work:
                moved.Add(work.ApplicatorId);
                return true;
            case RebuildScope.GroundOf ground:
                redrawn.Add(ground.FieldId);
                return true;
            case RebuildScope.Levels:
                Levels = true;
                return true;
            case RebuildScope.SameAs same:
                return after.Recorded<IJournalEvent>().Where(same.IsWithdrawn).All(@event => Note(@event, after));
            default:
                return false;
        }
    }

    /// <summary>
    /// A field and all fields whose bounding boxes overlap its own, in any of their boundaries. Work can move between
    /// it and them.
    /// </summary>
    private static IEnumerable<string> WithNeighbours(string fieldId, FarmConfiguration before, FarmConfiguration after)
    {
        BoundaryBox[] own = [.. Boxes(before.Field(fieldId)), .. Boxes(after.Field(fieldId))];
        return after
            .Fields.Where(other => Boxes(other).Any(box => own.Any(box.Overlaps)))
            .Select(other => other.FieldId)
            .Append(fieldId);
    }

    private static IEnumerable<BoundaryBox> Boxes(RegisteredField? field) =>
        field?.Boundaries.Changes.Select(change => BoundaryBox.Around(change.InForce)) ?? [];
}
