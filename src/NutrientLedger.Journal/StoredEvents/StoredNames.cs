using System.Collections.Frozen;
using NutrientLedger.Journal.Fields;
using NutrientLedger.Journal.Readings;
using NutrientLedger.Journal.Sampling;
using NutrientLedger.Journal.Spreading;
using NutrientLedger.Journal.Storage;
using NutrientLedger.Journal.Weather;

namespace NutrientLedger.Journal.StoredEvents;

/// <summary>
/// The name under which each entry is stored. These names are in databases for ever: never change one; a new shape is a
/// new entry with a new name, and the old one stays readable.
/// </summary>
public static class StoredNames
{
    /// <summary>Entry type to stored name.</summary>
    public static FrozenDictionary<Type, string> ByType { get; } =
        new Dictionary<Type, string>
        {
            [typeof(FarmRegistered)] = "farm_registered",
            [typeof(FieldRegistered)] = "field_registered",
            [typeof(BoundaryRedrawn)] = "boundary_redrawn",
            [typeof(NutrientPlanSet)] = "nutrient_plan_set",
            [typeof(AvailabilitySetChosen)] = "availability_set_chosen",
            [typeof(PitRegistered)] = "pit_registered",
            [typeof(SourceChanged)] = "source_changed",
            [typeof(ApplicatorRegistered)] = "applicator_registered",
            [typeof(SensorMounted)] = "sensor_mounted",
            [typeof(SpreadingMethodRecorded)] = "spreading_method_recorded",
            [typeof(ReadingsVoided)] = "readings_voided",
            [typeof(VoidWithdrawn)] = "void_withdrawn",
            [typeof(QuestionableTimeDecided)] = "questionable_time_decided",
            [typeof(ReadingLimitsSet)] = "reading_limits_set",
            [typeof(AdoptionRuleSet)] = "adoption_rule_set",
            [typeof(LoadsHauled)] = "loads_hauled",
            [typeof(PitTransferred)] = "pit_transferred",
            [typeof(PitInflowMeasured)] = "pit_inflow_measured",
            [typeof(DailyInflowSet)] = "daily_inflow_set",
            [typeof(PitSurroundingsSet)] = "pit_surroundings_set",
            [typeof(LevelTaped)] = "level_taped",
            [typeof(PitNoted)] = "pit_noted",
            [typeof(EvaporationMeasured)] = "evaporation_measured",
            [typeof(SpreadingRateSet)] = "spreading_rate_set",
            [typeof(UsualDeviationsSet)] = "usual_deviations_set",
            [typeof(LabResultReported)] = "lab_result_reported",
            [typeof(LabResultCorrected)] = "lab_result_corrected",
            [typeof(CalibrationAdopted)] = "calibration_adopted",
            [typeof(CalibrationAdoptedByRule)] = "calibration_adopted_by_rule",
            [typeof(CalibrationWithdrawn)] = "calibration_withdrawn",
            [typeof(SpreadingMeasured)] = "spreading_measured",
            [typeof(StorageLevelMeasured)] = "storage_level_measured",
            [typeof(WeatherMeasured)] = "weather_measured",
        }.ToFrozenDictionary();

    /// <summary>Stored name to entry type.</summary>
    public static FrozenDictionary<string, Type> ByName { get; } =
        ByType.ToFrozenDictionary(pair => pair.Value, pair => pair.Key);

    /// <summary>The stored name of an entry.</summary>
    public static string Of(IJournalEvent @event) => ByType[@event.GetType()];
}
