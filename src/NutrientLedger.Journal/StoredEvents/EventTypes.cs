using System.Collections.Frozen;
using System.Collections.Immutable;
using NutrientLedger.Journal.Definitions;
using NutrientLedger.Journal.Fields;
using NutrientLedger.Journal.Readings;
using NutrientLedger.Journal.Sampling;
using NutrientLedger.Journal.Seals;
using NutrientLedger.Journal.Spreading;
using NutrientLedger.Journal.Storage;
using NutrientLedger.Journal.Weather;

namespace NutrientLedger.Journal.StoredEvents;

/// <summary>
/// All types of event. Their stored names are in databases, so a name never changes once a version is released. A new
/// form is a new type with a new name. The old one stays readable.
/// </summary>
public static class EventTypes
{
    public static ImmutableArray<EventDefinition> All { get; } =
    [
        Of<FarmRegistered>(),
        Of<FieldRegistered>(),
        Of<BoundaryRedrawn>(),
        Of<NoSpreadZoneRegistered>(),
        Of<NutrientPlanSet>(),
        Of<AvailabilitySetChosen>(),
        Of<EntryWithdrawn>(),
        Of<PitRegistered>(),
        Of<SourceChanged>(),
        Of<ApplicatorRegistered>(),
        Of<SensorMounted>(),
        Of<SpreadingMethodRecorded>(),
        Of<ReadingsVoided>(),
        Of<VoidWithdrawn>(),
        Of<QuestionableTimeDecided>(),
        Of<DeviceReplaced>(),
        Of<ReadingLimitsSet>(),
        Of<AdoptionRuleSet>(),
        Of<LoadsHauled>(),
        Of<PitTransferred>(),
        Of<PitInflowMeasured>(),
        Of<DailyInflowSet>(),
        Of<PitSurroundingsSet>(),
        Of<LevelTaped>(),
        Of<PitNoted>(),
        Of<EvaporationMeasured>(),
        Of<SpreadingRateSet>(),
        Of<DefaultDeviationsSet>(),
        Of<LabResultReported>(),
        Of<LabResultCorrected>(),
        Of<CalibrationAdopted>(),
        Of<CalibrationAdoptedByRule>(),
        Of<CalibrationWithdrawn>(),
        Of<SpreadingMeasured>(),
        Of<StorageLevelMeasured>(),
        Of<WeatherMeasured>(),
        Of<JournalSealed>(),
    ];

    /// <summary>Definitions by stored name.</summary>
    public static FrozenDictionary<string, EventDefinition> ByName { get; } =
        All.ToFrozenDictionary(type => type.StoredName);

    private static readonly FrozenDictionary<Type, EventDefinition> ByType = All.ToFrozenDictionary(type => type.Type);

    /// <summary>The definition of an event's type.</summary>
    public static EventDefinition Of(IJournalEvent @event) => ByType[@event.GetType()];

    /// <summary>The definition of a type of event.</summary>
    public static EventDefinition Of(Type type) => ByType[type];

    /// <summary>The definition of a type of event.</summary>
    public static EventDefinition<TEvent> Of<TEvent>()
        where TEvent : class, IDefinedEvent<TEvent> => TEvent.Definition;

    /// <summary>The name under which an event is stored.</summary>
    public static string NameOf(IJournalEvent @event) => Of(@event).StoredName;
}
