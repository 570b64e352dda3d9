using NutrientLedger.Agronomy.Fields;
using NutrientLedger.Journal;
using NutrientLedger.Journal.Fields;
using NutrientLedger.Journal.Readings;
using NutrientLedger.Journal.Spreading;
using NutrientLedger.Journal.Storage;
using NutrientLedger.Ledger.Configuration;

namespace NutrientLedger.Ledger.Posting;

/// <summary>
/// What of a posted ledger can be another once entries are recorded that change lines: lines of some applicators, coverage of some
/// fields, and level hours. Everything else may be copied; posting the whole past anew would make the same of it to the last bit.
/// </summary>
public sealed class Touched
{
    // Applicators whose work can come to lie elsewhere, so that visits appear in any field, and disappear where they have lines now.
    private readonly HashSet<string> moved = [];

    private readonly HashSet<string> applicators = [];
    private readonly HashSet<string> redrawn = [];
    private readonly HashSet<string> fields = [];

    private Touched() { }

    /// <summary>All lines of these are posted anew.</summary>
    public IReadOnlySet<string> Applicators => applicators;

    /// <summary>
    /// Fields that visits can disappear from. Their coverage is made anew from all work in them, because nothing can be taken out of a
    /// tile; to those of other fields the visits of what is posted anew are added.
    /// </summary>
    public IReadOnlySet<string> Fields => fields;

    /// <summary>Whether all level hours are posted anew.</summary>
    public bool Levels { get; private set; }

    /// <summary>
    /// What the entries that lie between two registers touch of the lines posted under the first; nothing when that is everything.
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

    /// <summary>Whether visits of an applicator to a field are added to its tiles, or are in those that are copied.</summary>
    public bool Covers(string applicatorId, string fieldId) => moved.Contains(applicatorId) || fields.Contains(fieldId);

    /// <summary>False when the entry can change everything, or nobody has said what it changes.</summary>
    private bool Note(IJournalEvent @event, FarmConfiguration after)
    {
        switch (@event)
        {
            case FarmRegistered:
                return false;
            case FieldRegistered field:
                redrawn.Add(field.FieldId);
                return true;
            case BoundaryRedrawn boundary:
                redrawn.Add(boundary.FieldId);
                return true;
            case ApplicatorRegistered applicator:
                moved.Add(applicator.ApplicatorId);
                return true;
            case SensorMounted mounted:
                if (mounted.Place == SensorPlace.InPit)
                    Levels = true;
                else
                    applicators.Add(mounted.EquipmentId);
                return true;
            case SourceChanged source:
                applicators.Add(source.ApplicatorId);
                return true;
            case ReadingLimitsSet { EquipmentId: null }:
                applicators.UnionWith(after.Applicators.Select(applicator => applicator.ApplicatorId));
                return true;
            case ReadingLimitsSet { EquipmentId: { } equipment }:
                applicators.Add(equipment);
                return true;
            case ReadingsVoided voided:
                Note(voided);
                return true;
            case VoidWithdrawn withdrawn:
                foreach (var voided in after.Recorded<ReadingsVoided>())
                    if (voided.VoidId == withdrawn.VoidId)
                        Note(voided);
                return true;
            case QuestionableTimeDecided decided:
                NoteReadings(decided.EquipmentId, decided.Stream, moved);
                return true;
            default:
                return !FarmConfiguration.ChangesLines(@event);
        }
    }

    private void Note(ReadingsVoided voided) =>
        NoteReadings(voided.EquipmentId, voided.Stream, voided.Part == VoidedPart.Reading ? moved : applicators);

    private void NoteReadings(string equipmentId, TelemetryStream stream, HashSet<string> applicatorsSo)
    {
        if (stream == TelemetryStream.Spread)
            applicatorsSo.Add(equipmentId);
        Levels |= stream == TelemetryStream.Store;
    }

    /// <summary>
    /// A field and all whose boxes overlap its own, whenever they were drawn so: work can come from it to them or go to it from them.
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
