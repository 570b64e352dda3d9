using System.Collections.Immutable;
using NutrientLedger.Journal;
using NutrientLedger.Journal.Definitions;
using NutrientLedger.Journal.Fields;
using NutrientLedger.Journal.Readings;
using NutrientLedger.Journal.Sampling;
using NutrientLedger.Journal.Spreading;
using NutrientLedger.Journal.Storage;
using NutrientLedger.Journal.StoredEvents;

namespace NutrientLedger.Ledger.Configuration;

/// <summary>
/// All the configuration events of one farm, folded into what was in force when: farm, fields, pits, applicators,
/// sensors, sources, methods, plans and availability sets. Entries of the farm file that were corrected under the same
/// key or withdrawn count nowhere. Immutable: a new event makes a new configuration. Moments are milliseconds since
/// 1970 (UTC).
/// </summary>
public sealed class FarmConfiguration
{
    public static readonly FarmConfiguration Empty = new([]);

    private readonly ImmutableList<IJournalEvent> events;

    private readonly Lazy<ConfigurationIndex> index;

    private FarmConfiguration(ImmutableList<IJournalEvent> events)
    {
        this.events = events;
        index = new(() => new(events));
    }

    public FarmRegistered? Farm => Index.Farm;

    /// <summary>The farm's own time. Null until the farm is registered.</summary>
    public FarmCalendar? Calendar => Index.Calendar;

    /// <summary>Lists are in ordinal order of their ids.</summary>
    public IEnumerable<RegisteredField> Fields => Index.Fields.Values;

    public IEnumerable<ApplicatorRegistered> Applicators => Index.Applicators.Values;

    public IEnumerable<PitRegistered> Pits => Index.Pits.Values;

    /// <summary>The plan in force for each field and season.</summary>
    public IEnumerable<NutrientPlanSet> Plans => Index.Plans.Values;

    /// <summary>Every mounting of a sensor that counts, in the order of the journal.</summary>
    public IEnumerable<SensorMounted> Sensors => Recorded<SensorMounted>();

    /// <summary>Every change of source that counts, in the order of the journal.</summary>
    public IEnumerable<SourceChanged> Sources => Recorded<SourceChanged>();

    /// <summary>Every void that was made and not withdrawn, in the order of the journal.</summary>
    public IEnumerable<ReadingsVoided> Voids => Index.Voids;

    /// <summary>
    /// Every decision about readings with a questionable time, in the order of the journal. Of several about a reading
    /// the last one holds.
    /// </summary>
    public IEnumerable<QuestionableTimeDecided> TimeDecisions => Recorded<QuestionableTimeDecided>();

    /// <summary>
    /// Everything of one kind that was ever recorded, in the order of the journal. Of entries of the farm file those
    /// that count.
    /// </summary>
    public IEnumerable<T> Recorded<T>()
        where T : IJournalEvent => Index.InForce.Events.OfType<T>();

    /// <summary>The entries of the farm file that count.</summary>
    public IReadOnlyDictionary<EntryKey, IJournalEvent> Entries => Index.InForce.ByKey;

    /// <summary>The calibrations that were adopted and not withdrawn.</summary>
    public Calibrations Calibrations => Index.Calibrations;

    /// <summary>The rule in force for each sensor and analyte that has one, off or on.</summary>
    public IEnumerable<AdoptionRuleSet> AdoptionRules => Recorded<AdoptionRuleSet>();

    /// <summary>All laboratory reports, superseded ones too.</summary>
    public LabReports LabReports => Index.LabReports;

    internal ConfigurationIndex Index => index.Value;

    /// <summary>The configuration with one more event. Batches of telemetry leave it unchanged.</summary>
    public FarmConfiguration With(IJournalEvent @event) =>
        EventTypes.Of(@event).IsBatch ? this : new(events.Add(@event));

    /// <summary>The rule by which calibrations of a sensor's analyte are adopted without a person.</summary>
    public AdoptionRuleSet? AdoptionRule(string sensorId, Analyte analyte) =>
        AdoptionRules.LastOrDefault(rule => rule.SensorId == sensorId && rule.Analyte == analyte);

    public RegisteredField? Field(string fieldId) => Index.Fields.GetValueOrDefault(fieldId);

    public ApplicatorRegistered? Applicator(string applicatorId) => Index.Applicators.GetValueOrDefault(applicatorId);

    public PitRegistered? Pit(string pitId) => Index.Pits.GetValueOrDefault(pitId);

    /// <summary>The pit an applicator was fed from at a moment.</summary>
    public string? PitFeeding(string applicatorId, long milliseconds) =>
        Index.Sources.GetValueOrDefault(applicatorId)?.At(milliseconds)?.PitId;

    /// <summary>The sensor for what an applicator spreads, as it was mounted at a moment, with its place.</summary>
    public SensorMounted? SensorFor(string equipmentId, long milliseconds) =>
        Index.SpreadingSensors.GetValueOrDefault(equipmentId)?.At(milliseconds);

    /// <summary>
    /// The pit whose level a device measured at a moment. A pit has one level sensor at a time, the one mounted last.
    /// </summary>
    public string? PitMeasuredBy(string equipmentId, long milliseconds) =>
        Index.PitSensors.GetValueOrDefault(equipmentId)?.At(milliseconds)?.HostId is { } pitId
        && Index.LevelSensors[pitId].At(milliseconds)!.EquipmentId == equipmentId
            ? pitId
            : null;

    /// <summary>What people decided about the readings of one device, stream and boot.</summary>
    public DecidedReadings Decided(string equipmentId, TelemetryStream stream, long boot) =>
        Index.Decided.GetValueOrDefault((equipmentId, stream, boot), DecidedReadings.Nothing);

    /// <summary>
    /// From which boot on each device of this name is stored: 0 for the first one, more for each that replaced it. A
    /// device's own boot is counted from there.
    /// </summary>
    public IEnumerable<long> FirstBoots(string equipmentId) => Index.FirstBoots[equipmentId].Prepend(0);

    /// <summary>The last of <see cref="FirstBoots"/>: that of the device which sends now.</summary>
    public long FirstBoot(string equipmentId) => FirstBoots(equipmentId).Last();

    /// <summary>By how many ms a device's readings of a stream are shifted, each amount once. Without 0.</summary>
    public IEnumerable<long> Shifts(string equipmentId, TelemetryStream stream) =>
        Index
            .Decided.Where(decided => decided.Key.EquipmentId == equipmentId && decided.Key.Stream == stream)
            .SelectMany(decided => decided.Value.Shifts)
            .Distinct();

    /// <summary>The limits for a device's readings at a moment: its own, else the farm's.</summary>
    public ReadingLimitsSet? Limits(string equipmentId, long milliseconds) =>
        Index.Limits.GetValueOrDefault(equipmentId)?.At(milliseconds)
        ?? Index.Limits.GetValueOrDefault("")?.At(milliseconds);

    public NutrientPlanSet? Plan(string fieldId, int season) => Index.Plans.GetValueOrDefault((fieldId, season));

    /// <summary>
    /// The factor set for a season's available nutrients: the choice that holds from the latest season up to it.
    /// </summary>
    public ChosenSet? Availability(int season) => Index.Availability.At(season);

    /// <summary>
    /// How an applicator spread on a field at a moment. The latest record for all fields or for this one. Of two from
    /// the same moment it is the one for this field.
    /// </summary>
    public SpreadingMethodRecorded? Method(string applicatorId, string fieldId, long milliseconds) =>
        Index
            .Methods[applicatorId]
            .Where(method => method.FieldId is null || method.FieldId == fieldId)
            .Where(method => ConfigurationIndex.Milliseconds(method.ValidFrom) <= milliseconds)
            .OrderBy(method => method.ValidFrom)
            .ThenBy(method => method.FieldId is not null)
            .LastOrDefault();
}
