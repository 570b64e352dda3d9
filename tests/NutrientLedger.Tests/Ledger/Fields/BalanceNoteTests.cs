using System.Collections.Immutable;
using NutrientLedger.Agronomy.Units.Chemistry;
using NutrientLedger.Journal;
using NutrientLedger.Journal.Fields;
using NutrientLedger.Journal.Sampling;
using NutrientLedger.Journal.Spreading;
using NutrientLedger.Ledger.Fields;

namespace NutrientLedger.Tests.Ledger.Fields;

/// <summary>
/// The notes on the amounts of a balance. Coefficients are of the factor file minnesota for dairy manure.
/// </summary>
public class BalanceNoteTests
{
    private static readonly AvailabilitySetChosen Dairy = new(
        "minnesota",
        2026,
        ImmutableSortedDictionary<string, string>.Empty.Add("animal", "dairy")
    );

    [Fact]
    public void A_plan_by_total_nitrogen_needs_no_note()
    {
        var balance = Balance(Plan(NitrogenBasis.Total), Dairy);

        Assert.NotNull(balance.Plan!.Nitrogen);
        Assert.Empty(balance.Notes);
    }

    [Fact]
    public void A_plan_by_available_nitrogen_says_by_which_set_or_that_it_is_unknown()
    {
        var plan = Plan(NitrogenBasis.Available);
        var unstated = Dairy with { Circumstances = ImmutableSortedDictionary<string, string>.Empty };

        Assert.Equal([BalanceNote.AvailableNitrogenCounted], Balance(plan, Dairy).Notes);
        Assert.Equal([BalanceNote.AvailableNitrogenUnknown], Balance(plan, unstated).Notes);
        Assert.Equal([BalanceNote.AvailableNitrogenUnknown], Balance(plan).Notes);
    }

    [Fact]
    public void A_plan_without_nitrogen_needs_no_note_and_a_field_without_area_has_no_comparison()
    {
        var other = Plan(NitrogenBasis.Available) with { NitrogenGramsPerHectare = null };
        var late = Some.Configuration([
            Some.Farm(),
            Some.Field(Some.West, Some.Square(), new(2027, 1, 1)),
            Plan(NitrogenBasis.Total),
        ]);

        Assert.Empty(Balance(other, Dairy).Notes);
        Assert.Equal([BalanceNote.NoComparison], FieldBalance.Of(late, [], [], Some.West, 2026).Notes);
    }

    [Fact]
    public void A_negative_content_gets_a_note()
    {
        var negative = new CalibrationAdopted(
            "n",
            Some.Sensor,
            Analyte.TotalNitrogen,
            1_000_000,
            -5_000_000,
            Some.Morning,
            null,
            null,
            [],
            "Ada Ash",
            "A slip of the pen"
        );

        Assert.Contains(BalanceNote.NegativeContent, Balance(negative).Notes);
        Assert.DoesNotContain(BalanceNote.NegativeContent, Balance().Notes);
    }

    [Fact]
    public void Ammonium_above_total_nitrogen_gets_a_note()
    {
        var swapped = new Pass(11)
        {
            Change = (_, reading) => reading with { AmmoniumNitrogenMilligramsPerLitre = 4_001 },
        };
        var configuration = Some.Configuration(Some.ConfigurationEvents());
        var accumulator = Some.Posted(configuration, Some.Batch(swapped.Drive()));

        Assert.Equal(
            [BalanceNote.AmmoniumAboveTotal],
            FieldBalance.Of(configuration, accumulator.Lines, [], Some.West, 2026).Notes
        );
    }

    [Fact]
    public void Oxides_are_elements_times_their_factor_and_each_coefficient_is_named_once()
    {
        var available = Balance(Plan(NitrogenBasis.Available), Dairy).Availability!;

        Assert.Equal(available.Phosphorus.Kilograms * Oxides.P2O5PerPhosphorus, available.P2O5.Kilograms);
        Assert.Equal(available.Potassium.Kilograms * Oxides.K2OPerPotassium, available.K2O.Kilograms);
        Assert.Equal(available.Phosphorus.ShareOfVolume, available.P2O5.ShareOfVolume);
        var names = available.Coefficients.Select(used => used.Coefficient.Name).ToArray();
        Assert.Equal(names.Distinct(), names);
        Assert.Contains(available.Nitrogen.Coefficients[0], available.Coefficients);
        Assert.Contains(available.Potassium.Coefficients[0], available.Coefficients);
    }

    [Fact]
    public void What_counts_is_a_part_of_what_is_allowed_where_both_are_known()
    {
        Assert.Equal(0.25, new PlannedAmount(8, 2, 6, AtMost: false, null).ShareCounted);
        Assert.Equal(1.5, new PlannedAmount(8, 12, -4, AtMost: false, null).ShareCounted);
        Assert.Null(new PlannedAmount(8, null, null, AtMost: false, Unavailable.For(new NoBoundary())).ShareCounted);
        Assert.Null(new PlannedAmount(null, null, null, AtMost: false, Unavailable.For(new NoBoundary())).ShareCounted);
        Assert.Null(new PlannedAmount(0, 2, -2, AtMost: false, null).ShareCounted);
    }

    private static NutrientPlanSet Plan(NitrogenBasis basis) => new(Some.West, 2026, basis, 300, 200, null, "maize");

    /// <summary>One pass, injected; 4 g/L of total nitrogen and 2.5 g/L of ammonium nitrogen.</summary>
    private static FieldBalance Balance(params IJournalEvent[] more)
    {
        var method = new SpreadingMethodRecorded(
            Some.DragLine,
            null,
            SpreadingMethod.ClosedSlotInjection,
            null,
            Some.Morning.AddDays(-1)
        );
        var configuration = Some.Configuration([.. Some.ConfigurationEvents(), method, .. more]);
        var accumulator = Some.Posted(configuration, Some.Batch(new Pass(11).Drive()));
        return FieldBalance.Of(configuration, accumulator.Lines, [], Some.West, 2026);
    }
}
