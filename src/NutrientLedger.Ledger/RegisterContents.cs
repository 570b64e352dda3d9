using System.Collections.Immutable;
using NutrientLedger.Agronomy.Fields;
using NutrientLedger.Journal;
using NutrientLedger.Journal.Fields;
using NutrientLedger.Journal.Sampling;
using NutrientLedger.Journal.Spreading;
using NutrientLedger.Journal.Storage;

namespace NutrientLedger.Ledger;

/// <summary>The entries of a register sorted for looking up: by id the one recorded last, by moment a timeline for each key.</summary>
internal sealed class RegisterContents
{
    public RegisterContents(IReadOnlyCollection<IEntry> entries)
    {
        Farm = entries.OfType<FarmRegistered>().LastOrDefault();
        Calendar = Farm is null ? null : new(Farm);
        Fields = Calendar is null ? Sorted<RegisteredField>([]) : FieldsOf(entries, Calendar);
        FieldMaps = FieldMap.OverTime([.. Fields.Values]);
        Applicators = Latest<ApplicatorRegistered>(entries, applicator => applicator.ApplicatorId);
        Pits = Latest<PitRegistered>(entries, pit => pit.PitId);
        Plans = entries
            .OfType<NutrientPlanSet>()
            .GroupBy(plan => (plan.FieldId, plan.Season))
            .ToImmutableDictionary(plans => plans.Key, plans => plans.Last());
        Availability = new(
            entries.OfType<AvailabilitySetChosen>().Select(choice => ((long)choice.FromSeason, ChosenSet.Of(choice)))
        );
        Sources = Timelines(entries.OfType<SourceChanged>(), source => source.ApplicatorId, source => source.ValidFrom);
        // Both shapes in the order of the journal, because of mountings at the same moment the later one counts.
        var mounted = entries
            .Select(MountedSensor.Of)
            .OfType<MountedSensor>()
            .ToLookup(sensor => sensor.Place == SensorPlace.InPit);
        SpreadingSensors = Timelines(mounted[false], sensor => sensor.EquipmentId, sensor => sensor.ValidFrom);
        PitSensors = Timelines(mounted[true], sensor => sensor.EquipmentId, sensor => sensor.ValidFrom);
        Calibrations = new(entries);
        LabReports = new(entries);
        Methods = entries.OfType<SpreadingMethodRecorded>().ToLookup(method => method.ApplicatorId);
        var withdrawn = entries.OfType<VoidingWithdrawn>().Select(withdrawal => withdrawal.VoidingId).ToHashSet();
        Voidings = [.. entries.OfType<ReadingsVoided>().Where(voiding => !withdrawn.Contains(voiding.VoidingId))];
        Decided = DecidedReadings.BySeries(Voidings, entries.OfType<DoubtDecided>());
        Limits = Timelines(
            entries.OfType<ReadingLimitsSet>(),
            limits => limits.EquipmentId ?? "",
            limits => limits.ValidFrom
        );
    }

    public FarmRegistered? Farm { get; }

    public Calibrations Calibrations { get; }

    public LabReports LabReports { get; }

    public FarmCalendar? Calendar { get; }

    public ImmutableSortedDictionary<string, RegisteredField> Fields { get; }

    public Timeline<FieldMap> FieldMaps { get; }

    public ImmutableSortedDictionary<string, ApplicatorRegistered> Applicators { get; }

    public ImmutableSortedDictionary<string, PitRegistered> Pits { get; }

    public ImmutableDictionary<(string FieldId, int Season), NutrientPlanSet> Plans { get; }

    /// <summary>Runs over seasons, not moments.</summary>
    public Timeline<ChosenSet> Availability { get; }

    public ImmutableSortedDictionary<string, Timeline<SourceChanged>> Sources { get; }

    public ImmutableSortedDictionary<string, Timeline<MountedSensor>> SpreadingSensors { get; }

    public ImmutableSortedDictionary<string, Timeline<MountedSensor>> PitSensors { get; }

    public ILookup<string, SpreadingMethodRecorded> Methods { get; }

    public ImmutableArray<ReadingsVoided> Voidings { get; }

    public ImmutableDictionary<
        (string EquipmentId, TelemetryStream Stream, long Boot),
        DecidedReadings
    > Decided { get; }

    /// <summary>By sender; the farm's own under the empty name.</summary>
    public ImmutableSortedDictionary<string, Timeline<ReadingLimitsSet>> Limits { get; }

    /// <summary>"Valid when moment ≤ time": the first whole millisecond that is not before the moment.</summary>
    public static long Milliseconds(DateTimeOffset moment) =>
        moment.AddTicks(TimeSpan.TicksPerMillisecond - 1).ToUnixTimeMilliseconds();

    private static ImmutableSortedDictionary<string, RegisteredField> FieldsOf(
        IReadOnlyCollection<IEntry> entries,
        FarmCalendar calendar
    )
    {
        var names = Latest<FieldRegistered>(entries, field => field.FieldId);
        return Sorted(
            from drawn in entries.Select(Drawn).OfType<BoundaryRedrawn>()
            group (calendar.StartOf(drawn.ValidFrom), drawn.Boundary) by drawn.FieldId into boundaries
            let name = names.TryGetValue(boundaries.Key, out var field) ? field.Name : boundaries.Key
            select KeyValuePair.Create(
                boundaries.Key,
                new RegisteredField(boundaries.Key, name, new Timeline<Boundary>(boundaries))
            )
        );
    }

    /// <summary>A field's first boundary and every later one are alike: drawn, and in force from a day on.</summary>
    private static BoundaryRedrawn? Drawn(IEntry entry) =>
        entry switch
        {
            FieldRegistered field => new(field.FieldId, field.Boundary, field.ValidFrom, Reason: ""),
            BoundaryRedrawn redrawn => redrawn,
            _ => null,
        };

    private static ImmutableSortedDictionary<string, T> Latest<T>(IEnumerable<IEntry> entries, Func<T, string> id) =>
        Sorted(entries.OfType<T>().GroupBy(id).Select(same => KeyValuePair.Create(same.Key, same.Last())));

    private static ImmutableSortedDictionary<string, Timeline<T>> Timelines<T>(
        IEnumerable<T> recorded,
        Func<T, string> key,
        Func<T, DateTimeOffset> validFrom
    )
        where T : class =>
        Sorted(
            recorded
                .GroupBy(key, what => (Milliseconds(validFrom(what)), what))
                .Select(same => KeyValuePair.Create(same.Key, new Timeline<T>(same)))
        );

    private static ImmutableSortedDictionary<string, T> Sorted<T>(IEnumerable<KeyValuePair<string, T>> pairs) =>
        pairs.ToImmutableSortedDictionary(StringComparer.Ordinal);
}
