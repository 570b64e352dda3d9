using NutrientLedger.Agronomy.Units.Chemistry;
using NutrientLedger.Journal;
using NutrientLedger.Journal.Fields;
using NutrientLedger.Journal.Readings;
using NutrientLedger.Journal.Sampling;
using NutrientLedger.Journal.Spreading;
using NutrientLedger.Ledger.Corrections;
using NutrientLedger.Tests.Ledger.Fields;
using NutrientLedger.Tests.Ledger.Seasons;

namespace NutrientLedger.Tests.Ledger.Corrections;

/// <summary>
/// Ten intervals of 30 L at 4000 mg/L total nitrogen on the western field: 0.3 m³ and 1.2 kg as measured.
/// </summary>
public class StatementTests
{
    private static readonly IJournalEvent[] Spread = [Some.Batch(new Pass(11).Drive())];

    [Fact]
    public void A_calibration_changes_the_mass_of_its_analyte_and_nothing_else()
    {
        // 1.1 × 1.2 kg − 0.1 kg/m³ × 0.3 m³ = 1.29 kg.
        var field = Assert.Single(Of(Some.ConfigurationEvents(), Adopted(1_100_000, -100_000), Spread).Fields);

        Assert.Equal((Some.West, "The west field", 2026), (field.Field, field.Name, field.Season));
        Assert.Equal(new StatedAmount(1.2m, 1.29m), field.Amounts.TotalNitrogenKilograms);
        Assert.Equal(0.09m, field.Amounts.TotalNitrogenKilograms.Change);
        Assert.Equal(new StatedAmount(0.3m, 0.3m), field.Amounts.VolumeCubicMetres);
        Assert.Equal(new StatedAmount(0.75m, 0.75m), field.Amounts.AmmoniumNitrogenKilograms);
        var p2o5 = 0.3m * 0.8m * (decimal)Oxides.P2O5PerPhosphorus;
        Assert.Equal(new StatedAmount(p2o5, p2o5), field.Amounts.P2O5Kilograms);
        Assert.Equal((Some.Pit, field.Amounts), (Assert.Single(field.Pits).Pit, field.Pits[0].Amounts));
        Assert.Null(field.Available);
    }

    [Fact]
    public void The_cause_is_stated_with_person_reason_reports_and_position()
    {
        var cause = Of(Some.ConfigurationEvents(), Adopted(1_100_000, -100_000), Spread).Cause;

        Assert.Equal(
            ("calibration_adopted", "c", "Ada Ash", "Laboratory differs", 77L, Some.Recorded),
            (cause.Kind, cause.Id, cause.By, cause.Reason, cause.Position, cause.RecordedAt)
        );
        Assert.Equal("r-1", Assert.Single(cause.LabReports));
        var withdrawn = Of(
            [.. Some.ConfigurationEvents(), Adopted(1_100_000, 0)],
            new CalibrationWithdrawn("c", "Ada Ash", "Mixed up"),
            Spread
        );
        Assert.Equal("r-1", Assert.Single(withdrawn.Cause.LabReports));
    }

    [Fact]
    public void A_redrawn_boundary_moves_what_was_spread_from_one_field_to_none()
    {
        var gone = new BoundaryRedrawn(Some.West, Some.Square(northE7: 100_000), new(2025, 1, 1), "Measured again");
        var statement = Of(Some.ConfigurationEvents(), gone, Spread);

        Assert.Equal([null, Some.West], statement.Fields.Select(field => field.Field));
        Assert.Equal([0.3m, -0.3m], statement.Fields.Select(field => field.Amounts.VolumeCubicMetres.Change!.Value));
        Assert.Equal(
            [1.2m, -1.2m],
            statement.Fields.Select(field => field.Amounts.TotalNitrogenKilograms.Change!.Value)
        );
        Assert.Equal("Measured again", statement.Cause.Reason);
    }

    [Fact]
    public void A_no_spread_zone_states_what_was_spread_inside_and_changes_no_other_amount()
    {
        var zone = Some.Zone("ditch", Some.Square(northE7: 1_630));
        var statement = Of(Some.ConfigurationEvents(), zone, Spread);
        var ended = Of([.. Some.ConfigurationEvents(), zone], zone with { ValidTo = new(2026, 4, 1) }, Spread);

        var amounts = Assert.Single(statement.Fields).Amounts;
        Assert.Equal(new StatedAmount(0, 0.21m), amounts.InNoSpreadZonesCubicMetres);
        Assert.Equal(0, amounts.VolumeCubicMetres.Change);
        Assert.Equal(0, amounts.FlaggedShareOfVolume.Change);
        Assert.Equal("Along the ditch", statement.Cause.Reason);
        Assert.Equal(new StatedAmount(0.21m, 0), Assert.Single(ended.Fields).Amounts.InNoSpreadZonesCubicMetres);
    }

    [Fact]
    public void A_changed_source_moves_amounts_from_pit_to_pit_and_leaves_the_field_as_it_was()
    {
        var field = Assert.Single(Of(Some.ConfigurationEvents(), Some.Source("south-pit"), Spread).Fields);

        Assert.Equal(0, field.Amounts.VolumeCubicMetres.Change);
        Assert.Equal([Some.Pit, "south-pit"], field.Pits.Select(pit => pit.Pit));
        Assert.Equal([-0.3m, 0.3m], field.Pits.Select(pit => pit.Amounts.VolumeCubicMetres.Change!.Value));
    }

    [Fact]
    public void The_share_of_flagged_readings_is_stated_before_and_after()
    {
        var limits = new ReadingLimitsSet(
            null,
            Some.Morning.AddDays(-1),
            [new(LimitedQuantity.TotalNitrogen, 0, 3_000, "common practice")]
        );
        var field = Assert.Single(Of(Some.ConfigurationEvents(), limits, Spread).Fields);

        Assert.Equal(new StatedAmount(0, 1), field.Amounts.FlaggedShareOfVolume);
    }

    [Fact]
    public void Amounts_are_at_least_where_contents_are_missing_before_or_after()
    {
        var voided = new ReadingsVoided(
            "v",
            Some.DragLine,
            TelemetryStream.Spread,
            1,
            1,
            5,
            VoidedPart.Composition,
            "Fouled window",
            "Ada Ash"
        );
        var withdrawn = new VoidWithdrawn("v", "Ada Ash", "It was clean");
        var events = Some.ConfigurationEvents();

        Assert.True(Assert.Single(Of(events, voided, Spread).Fields).Amounts.AtLeast);
        Assert.True(Assert.Single(Of([.. events, voided], withdrawn, Spread).Fields).Amounts.AtLeast);
        Assert.False(Assert.Single(Of(events, Adopted(1_100_000, 0), Spread).Fields).Amounts.AtLeast);
    }

    [Fact]
    public void Available_nitrogen_is_stated_by_the_set_that_the_farm_chose()
    {
        IJournalEvent[] before =
        [
            .. Some.ConfigurationEvents(),
            .. SomeAvailability.Method(SpreadingMethod.ClosedSlotInjection),
            .. SomeAvailability.Alberta("liquid"),
        ];
        var available = Assert.Single(Of(before, Adopted(2_000_000, 0), Spread).Fields).Available!;

        Assert.Equal("alberta-2007", available.FactorSet);
        Assert.Null(available.UnavailableAfter);
        Assert.True(available.NitrogenKilograms.Change > 0, $"{available}");
    }

    [Fact]
    public void What_makes_no_difference_is_said_to_change_nothing()
    {
        foreach (
            var idle in new IJournalEvent[] { Adopted(1_000_000, 0), Adopted(2_000_000, 0) with { SensorId = "nir-2" } }
        )
        {
            var statement = Of(Some.ConfigurationEvents(), idle, Spread);
            Assert.Empty(statement.Fields);
            Assert.Empty(statement.Levels);
        }
    }

    public static TheoryData<int> Seeds => [.. Enumerable.Range(1, 24)];

    [Theory]
    [MemberData(nameof(Seeds))]
    public void Before_and_change_are_after_and_pits_add_up_to_their_field_in_every_season(int seed)
    {
        var season = new InventedSeason(seed);
        var events = Arrivals.Shuffled(season, seed);
        var calibrations = SomeCalibrations.Of(season, seed);
        var statement = Of(season.ConfigurationEvents, calibrations[..5], calibrations[5..], events);

        foreach (var field in statement.Fields)
        {
            foreach (
                var amount in new[] { field.Amounts }.Concat(field.Pits.Select(pit => pit.Amounts)).SelectMany(Exact)
            )
                Assert.Equal(amount.After, amount.Before + amount.Change);
            // Every pit that changed is listed, so their changes add up to the field's.
            Assert.Equal(
                Exact(field.Amounts).Select(amount => amount.Change),
                Enumerable
                    .Range(0, Exact(field.Amounts).Length)
                    .Select(place => field.Pits.Sum(pit => Exact(pit.Amounts)[place].Change))
            );
        }
        var text = StatementCodec.Encode(statement);
        Assert.Equal(text, StatementCodec.Encode(StatementCodec.Decode(text)));
    }

    private static StatedAmount[] Exact(StatedAmounts amounts) =>
        [
            amounts.VolumeCubicMetres,
            amounts.DisengagedCubicMetres,
            amounts.NotPlacedCubicMetres,
            amounts.TotalNitrogenKilograms,
            amounts.AmmoniumNitrogenKilograms,
        ];

    private static CalibrationAdopted Adopted(long slope, long intercept) =>
        new(
            "c",
            Some.Sensor,
            Analyte.TotalNitrogen,
            slope,
            intercept,
            Some.Morning.AddDays(-1),
            null,
            null,
            ["r-1"],
            "Ada Ash",
            "Laboratory differs"
        );

    internal static Statement Of(
        IJournalEvent[] configurationEvents,
        IJournalEvent correction,
        IEnumerable<IJournalEvent> posted
    ) => Of(configurationEvents, [], [correction], posted);

    private static Statement Of(
        IEnumerable<IJournalEvent> configurationEvents,
        IEnumerable<IJournalEvent> more,
        IJournalEvent[] corrections,
        IEnumerable<IJournalEvent> posted
    )
    {
        var before = Some.Configuration([.. configurationEvents, .. more]);
        var after = corrections.Aggregate(before, (so, @event) => so.With(@event));
        return Statement.Of(
            "three-elms",
            StatementCause.Of(corrections[0], before, Some.Recorded, 77),
            before,
            Some.Posted(before, posted),
            after,
            Some.Posted(after, posted)
        );
    }
}
