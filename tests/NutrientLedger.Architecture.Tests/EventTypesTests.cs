using System.Text.RegularExpressions;
using NutrientLedger.Journal;
using NutrientLedger.Journal.Definitions;
using NutrientLedger.Journal.Fields;
using NutrientLedger.Journal.Readings;
using NutrientLedger.Journal.Sampling;
using NutrientLedger.Journal.Seals;
using NutrientLedger.Journal.Spreading;
using NutrientLedger.Journal.Storage;
using NutrientLedger.Journal.StoredEvents;
using NutrientLedger.Journal.Weather;
using NutrientLedger.Ledger.Configuration;
using NutrientLedger.Ledger.Corrections;
using NutrientLedger.Web.Wording;
using static NutrientLedger.Journal.Definitions.EventChanges;
using static NutrientLedger.Journal.Definitions.EventRoute;

namespace NutrientLedger.Architecture.Tests;

/// <summary>
/// The properties of each event type, listed a second time by hand. A new event needs a row here: its stored name, what
/// it changes, its source. <see cref="StoredEventsTests"/> requires a golden file.
/// </summary>
public partial class EventTypesTests
{
    private static readonly Dictionary<Type, (string Name, EventChanges Changes, EventRoute Route, string Of)> Rows =
        new()
        {
            [typeof(FarmRegistered)] = ("farm_registered", Rebuild, FarmFile, "farm"),
            [typeof(FieldRegistered)] = ("field_registered", Rebuild, FarmFile, "fields"),
            [typeof(BoundaryRedrawn)] = ("boundary_redrawn", Rebuild, FarmFile, "fields"),
            [typeof(NoSpreadZoneRegistered)] = ("no_spread_zone_registered", Rebuild, FarmFile, "noSpreadZones"),
            [typeof(NutrientPlanSet)] = ("nutrient_plan_set", Nothing, FarmFile, "plans"),
            [typeof(AvailabilitySetChosen)] = ("availability_set_chosen", Nothing, FarmFile, "availability"),
            [typeof(EntryWithdrawn)] = ("entry_withdrawn", Rebuild, Withdrawal, "withdraw"),
            [typeof(PitRegistered)] = ("pit_registered", Nothing, FarmFile, "pits"),
            [typeof(SourceChanged)] = ("source_changed", Rebuild, FarmFile, "sources"),
            [typeof(ApplicatorRegistered)] = ("applicator_registered", Rebuild, FarmFile, "applicators"),
            [typeof(SensorMounted)] = ("sensor_mounted", Rebuild, FarmFile, "sensors"),
            [typeof(SpreadingMethodRecorded)] = ("spreading_method_recorded", Nothing, FarmFile, "methods"),
            [typeof(ReadingsVoided)] = ("readings_voided", Rebuild, Decision, "voids"),
            [typeof(VoidWithdrawn)] = ("void_withdrawn", Rebuild, Decision, "voids"),
            [typeof(QuestionableTimeDecided)] = ("questionable_time_decided", Rebuild, Decision, "questionable-times"),
            [typeof(DeviceReplaced)] = ("device_replaced", Nothing, Decision, "devices"),
            [typeof(ReadingLimitsSet)] = ("reading_limits_set", Rebuild, FarmFile, "limits"),
            [typeof(AdoptionRuleSet)] = ("adoption_rule_set", Nothing, FarmFile, "calibrationRules"),
            [typeof(LoadsHauled)] = ("loads_hauled", Nothing, HandRecord, "loads"),
            [typeof(PitTransferred)] = ("pit_transferred", Nothing, HandRecord, "transfer"),
            [typeof(PitInflowMeasured)] = ("pit_inflow_measured", Nothing, HandRecord, "inflow"),
            [typeof(DailyInflowSet)] = ("daily_inflow_set", Nothing, HandRecord, "dailyInflow"),
            [typeof(PitSurroundingsSet)] = ("pit_surroundings_set", Nothing, HandRecord, "surroundings"),
            [typeof(LevelTaped)] = ("level_taped", Nothing, HandRecord, "tape"),
            [typeof(PitNoted)] = ("pit_noted", Nothing, HandRecord, "note"),
            [typeof(EvaporationMeasured)] = ("evaporation_measured", Nothing, HandRecord, "evaporation"),
            [typeof(SpreadingRateSet)] = ("spreading_rate_set", Nothing, HandRecord, "setRate"),
            [typeof(DefaultDeviationsSet)] = ("default_deviations_set", Nothing, FarmFile, "deviations"),
            [typeof(LabResultReported)] = ("lab_result_reported", Nothing, LaboratoryReport, "reports"),
            [typeof(LabResultCorrected)] = ("lab_result_corrected", Nothing, LaboratoryReport, "reports"),
            [typeof(CalibrationAdopted)] = ("calibration_adopted", Evaluation, Decision, "calibrations"),
            [typeof(CalibrationAdoptedByRule)] = ("calibration_adopted_by_rule", Evaluation, Rule, "calibrationRules"),
            [typeof(CalibrationWithdrawn)] = ("calibration_withdrawn", Evaluation, Decision, "calibrations"),
            [typeof(SpreadingMeasured)] = ("spreading_measured", Posting, EventRoute.Stream, "spread"),
            [typeof(StorageLevelMeasured)] = ("storage_level_measured", Posting, EventRoute.Stream, "store"),
            [typeof(WeatherMeasured)] = ("weather_measured", Posting, EventRoute.Stream, "weather"),
            [typeof(JournalSealed)] = ("journal_sealed", Nothing, EventRoute.Hub, "seal"),
        };

    [Fact]
    public void Every_type_of_event_is_listed_once_and_has_a_row_here()
    {
        var declared = typeof(IJournalEvent)
            .Assembly.GetTypes()
            .Where(type => type.IsClass && type.IsAssignableTo(typeof(IJournalEvent)))
            .OrderBy(type => type.Name)
            .ToArray();

        Assert.Equal(declared, EventTypes.All.Select(type => type.Type).OrderBy(type => type.Name));
        Assert.Equal(declared, Rows.Keys.OrderBy(type => type.Name));
    }

    [Fact]
    public void Each_definition_says_what_its_row_says() =>
        Assert.All(
            EventTypes.All,
            type => Assert.Equal(Rows[type.Type], (type.StoredName, type.Changes, type.Source.Route, type.Source.Name))
        );

    [Fact]
    public void Stored_names_are_lower_case_words_and_never_alike()
    {
        Assert.All(EventTypes.All, type => Assert.Matches(StoredName(), type.StoredName));
        Assert.Equal(EventTypes.All.Length, EventTypes.ByName.Count);
    }

    [Fact]
    public void Only_batches_are_posted() =>
        Assert.All(EventTypes.All, type => Assert.Equal(type.IsBatch, type.Changes == Posting));

    [Fact]
    public void An_event_without_a_rebuild_scope_rebuilds_everything()
    {
        var forgotten = new EventDefinition<Forgotten>("forgotten", new(FarmFile, "forgotten"));

        Assert.Equal(Rebuild, forgotten.Changes);
        Assert.Equal([new RebuildScope.Everything()], forgotten.ScopeOf(new Forgotten()));
        Assert.Equal(Rebuild, default(EventChanges));
    }

    [Fact]
    public void Events_of_a_farm_file_have_a_key_so_that_importing_again_adds_nothing() =>
        Assert.All(
            StoredEventsTests.ExamplesOf(FarmFile),
            example => Assert.NotNull(EventTypes.Of(example).KeyOf(example))
        );

    [Fact]
    public void The_table_of_the_journals_document_names_every_event()
    {
        var document = File.ReadAllText(Path.Combine(Repository.Root, "src/NutrientLedger.Journal/README.md"));

        Assert.All(EventTypes.All, type => Assert.Contains($"`{type.StoredName}`", document, StringComparison.Ordinal));
    }

    [Fact]
    public void A_statement_says_in_words_what_each_correcting_event_did()
    {
        var wording = new CorrectionWording(
            new(new("Three Elms", "America/Chicago", 10, 1, new(2025, 10, 1), new(90, 122))),
            DisplayUnits.Metric
        );

        Assert.All(
            Correcting,
            example => Assert.DoesNotContain(EventTypes.NameOf(example), wording.Of(example), StringComparison.Ordinal)
        );
    }

    [Fact]
    public void A_statement_keeps_who_decided_and_why_wherever_the_event_says_so() =>
        Assert.All(
            Correcting,
            example =>
            {
                var cause = StatementCause.Of(example, FarmConfiguration.Empty, DateTimeOffset.UnixEpoch, 1);
                Assert.Equal(Text(example, "By"), cause.By);
                Assert.Equal(Text(example, "Reason"), cause.Reason);
            }
        );

    private static IJournalEvent[] Correcting =>
        [
            .. Enum.GetValues<EventRoute>()
                .SelectMany(StoredEventsTests.ExamplesOf)
                .Where(example => EventTypes.Of(example).Changes is Rebuild or Evaluation),
        ];

    private static string? Text(IJournalEvent @event, string property) =>
        @event.GetType().GetProperty(property)?.GetValue(@event) as string;

    private sealed record Forgotten : IJournalEvent;

    [GeneratedRegex("^[a-z]+(_[a-z]+)*$")]
    private static partial Regex StoredName();
}
