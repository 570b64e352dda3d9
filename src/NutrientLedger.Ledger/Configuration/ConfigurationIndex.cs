using System.Collections.Immutable;
using NutrientLedger.Agronomy.Fields;
using NutrientLedger.Journal;
using NutrientLedger.Journal.Fields;
using NutrientLedger.Journal.Readings;
using NutrientLedger.Journal.Spreading;
using NutrientLedger.Journal.Storage;

namespace NutrientLedger.Ledger.Configuration;

/// <summary>
/// The events of a configuration that count, indexed: by id, and by moment a timeline for each machine or pit.
/// </summary>
internal sealed class ConfigurationIndex
{
    public ConfigurationIndex(IEnumerable<IJournalEvent> recorded)
    {
        InForce = new(recorded);
        IReadOnlyCollection<IJournalEvent> events = InForce.Events;
        Farm = events.OfType<FarmRegistered>().LastOrDefault();
        Calendar = Farm is null ? null : new(Farm);
        Fields = Calendar is null ? Sorted<RegisteredField>([]) : FieldsOf(events, Calendar);
        FieldMaps = FieldMap.OverTime([.. Fields.Values]);
        var zones = Latest<NoSpreadZoneRegistered>(events, zone => zone.ZoneId);
        ZoneMaps = Calendar is null ? new([]) : ZoneMap.OverTime([.. zones.Values], Calendar);
        Applicators = Latest<ApplicatorRegistered>(events, applicator => applicator.ApplicatorId);
        Pits = Latest<PitRegistered>(events, pit => pit.PitId);
        Plans = events
            .OfType<NutrientPlanSet>()
            .GroupBy(plan => (plan.FieldId, plan.Season))
            .ToImmutableDictionary(plans => plans.Key, plans => plans.Last());
        Availability = new(
            events.OfType<AvailabilitySetChosen>().Select(choice => ((long)choice.FromSeason, ChosenSet.Of(choice)))
        );
        Sources = Timelines(events.OfType<SourceChanged>(), source => source.ApplicatorId, source => source.ValidFrom);
        // No import leaves two sensors in one place at the same moment. In older journals the later one counts.
        var mounted = events.OfType<SensorMounted>().ToLookup(sensor => sensor.Place == SensorPlace.InPit);
        SpreadingSensors = Timelines(mounted[false], sensor => sensor.EquipmentId, sensor => sensor.ValidFrom);
        PitSensors = Timelines(mounted[true], sensor => sensor.EquipmentId, sensor => sensor.ValidFrom);
        LevelSensors = Timelines(mounted[true], sensor => sensor.HostId, sensor => sensor.ValidFrom);
        Calibrations = new(events);
        LabReports = new(events);
        Methods = events.OfType<SpreadingMethodRecorded>().ToLookup(method => method.ApplicatorId);
        var withdrawn = events.OfType<VoidWithdrawn>().Select(withdrawal => withdrawal.VoidId).ToHashSet();
        Voids = [.. events.OfType<ReadingsVoided>().Where(readings => !withdrawn.Contains(readings.VoidId))];
        Decided = DecidedReadings.BySeries(Voids, events.OfType<QuestionableTimeDecided>());
        Limits = Timelines(
            events.OfType<ReadingLimitsSet>(),
            limits => limits.EquipmentId ?? "",
            limits => limits.ValidFrom
        );
        FirstBoots = events
            .OfType<DeviceReplaced>()
            .ToLookup(replaced => replaced.EquipmentId, replaced => replaced.FirstBoot);
    }

    public EntriesInForce InForce { get; }

    public FarmRegistered? Farm { get; }

    public Calibrations Calibrations { get; }

    public LabReports LabReports { get; }

    public FarmCalendar? Calendar { get; }

    public ImmutableSortedDictionary<string, RegisteredField> Fields { get; }

    public Timeline<FieldMap> FieldMaps { get; }

    public Timeline<ZoneMap> ZoneMaps { get; }

    public ImmutableSortedDictionary<string, ApplicatorRegistered> Applicators { get; }

    public ImmutableSortedDictionary<string, PitRegistered> Pits { get; }

    public ImmutableDictionary<(string FieldId, int Season), NutrientPlanSet> Plans { get; }

    /// <summary>Indexed by season, not by moment.</summary>
    public Timeline<ChosenSet> Availability { get; }

    public ImmutableSortedDictionary<string, Timeline<SourceChanged>> Sources { get; }

    public ImmutableSortedDictionary<string, Timeline<SensorMounted>> SpreadingSensors { get; }

    public ImmutableSortedDictionary<string, Timeline<SensorMounted>> PitSensors { get; }

    /// <summary>The level sensors of each pit, one after the other.</summary>
    public ImmutableSortedDictionary<string, Timeline<SensorMounted>> LevelSensors { get; }

    public ILookup<string, SpreadingMethodRecorded> Methods { get; }

    public ImmutableArray<ReadingsVoided> Voids { get; }

    public ImmutableDictionary<
        (string EquipmentId, TelemetryStream Stream, long Boot),
        DecidedReadings
    > Decided { get; }

    /// <summary>By device. The farm's own are under the empty name.</summary>
    public ImmutableSortedDictionary<string, Timeline<ReadingLimitsSet>> Limits { get; }

    /// <summary>By equipment: from which boot on each device after the first one is stored.</summary>
    public ILookup<string, long> FirstBoots { get; }

    /// <summary>"Valid when moment ≤ time": the first whole millisecond that is not before the moment.</summary>
    public static long Milliseconds(DateTimeOffset moment) =>
        moment.AddTicks(TimeSpan.TicksPerMillisecond - 1).ToUnixTimeMilliseconds();

    private static ImmutableSortedDictionary<string, RegisteredField> FieldsOf(
        IReadOnlyCollection<IJournalEvent> events,
        FarmCalendar calendar
    )
    {
        var names = Latest<FieldRegistered>(events, field => field.FieldId);
        return Sorted(
            from drawn in events.Select(Drawn).OfType<BoundaryRedrawn>()
            group (calendar.StartOf(drawn.ValidFrom), drawn.Boundary) by drawn.FieldId into boundaries
            let name = names.TryGetValue(boundaries.Key, out var field) ? field.Name : boundaries.Key
            select KeyValuePair.Create(
                boundaries.Key,
                new RegisteredField(boundaries.Key, name, new Timeline<Boundary>(boundaries))
            )
        );
    }

    /// <summary>A field's first boundary and every later one are alike: drawn, and in force from a day on.</summary>
    private static BoundaryRedrawn? Drawn(IJournalEvent @event) =>
        @event switch
        {
            FieldRegistered field => new(field.FieldId, field.Boundary, field.ValidFrom, Reason: ""),
            BoundaryRedrawn redrawn => redrawn,
            _ => null,
        };

    private static ImmutableSortedDictionary<string, T> Latest<T>(
        IEnumerable<IJournalEvent> events,
        Func<T, string> id
    ) => Sorted(events.OfType<T>().GroupBy(id).Select(same => KeyValuePair.Create(same.Key, same.Last())));

    private static ImmutableSortedDictionary<string, Timeline<T>> Timelines<T>(
        IEnumerable<T> recorded,
        Func<T, string> key,
        Func<T, DateTimeOffset> validFrom
    )
        where T : class =>
        Sorted(
            // Two moments can lie in one millisecond.
            recorded
                .OrderBy(validFrom)
                .GroupBy(key, what => (Milliseconds(validFrom(what)), what))
                .Select(same => KeyValuePair.Create(same.Key, new Timeline<T>(same)))
        );

    private static ImmutableSortedDictionary<string, T> Sorted<T>(IEnumerable<KeyValuePair<string, T>> pairs) =>
        pairs.ToImmutableSortedDictionary(StringComparer.Ordinal);
}
