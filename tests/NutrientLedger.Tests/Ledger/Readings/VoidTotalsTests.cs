using NutrientLedger.Journal;
using NutrientLedger.Journal.Readings;
using NutrientLedger.Journal.Spreading;
using NutrientLedger.Ledger.Configuration;
using NutrientLedger.Ledger.Readings;

namespace NutrientLedger.Tests.Ledger.Readings;

public class VoidTotalsTests
{
    /// <summary>30 L from reading to reading; readings 4 to 6 show nothing.</summary>
    private static readonly SpreadReading[] Driven =
    [
        .. new Pass(10)
            .Drive()
            .Select(
                (reading, i) =>
                    reading with
                    {
                        TotalMillilitres = i is >= 3 and <= 5 ? 0 : 25_000_000_000 + (30_000L * i),
                    }
            ),
    ];

    private static long Before => Driven[2].TotalMillilitres!.Value;

    [Fact]
    public void What_ran_is_what_the_readings_before_and_after_the_range_show() =>
        Assert.Equal(new(Before, 120_000), Across(4, 6));

    [Fact]
    public void They_may_be_in_different_batches_that_come_in_any_order()
    {
        var totals = new VoidTotals(Usual(), Candidate(4, 6));
        totals.Add(Batch(6, Driven[5..]), Some.Recorded);
        totals.Add(Batch(1, Driven[..5]), Some.Recorded);
        Assert.Equal(new(Before, 120_000), totals.Across);
    }

    [Fact]
    public void It_is_unknown_where_one_of_them_is_not_stored_or_shows_nothing_that_can_have_run()
    {
        Assert.Null(Across(1, 6));
        Assert.Null(Across(4, 10));
        Assert.Null(Across(4, 5));
        Assert.Null(Across(5, 6));
        Assert.Null(Across(4, 6, Void(7, VoidedPart.Reading)));
    }

    [Fact]
    public void Decisions_made_before_hold()
    {
        // Seven is void as a whole, but eight is right.
        Assert.Equal(new(Before, 150_000), Across(4, 7, Void(7, VoidedPart.Reading)));
        Assert.Equal(new(7, 120_020), Across(4, 6, Void(3, VoidedPart.Total) with { Across = new(1, 12) }, 120_027));
    }

    [Fact]
    public void A_meter_may_have_rolled_over()
    {
        var configuration = Some.Configuration([
            .. Some.ConfigurationEvents(),
            Some.Applicator(modulus: Before + 100_000),
        ]);
        var totals = new VoidTotals(configuration, Candidate(4, 6));
        totals.Add(Batch(1, [.. Driven[..6], Driven[6] with { TotalMillilitres = 20_000 }]), Some.Recorded);
        Assert.Equal(new(Before, 120_000), totals.Across);
    }

    private static MeteredAcross? Across(long first, long last, ReadingsVoided? decided = null, long? seventh = null)
    {
        var configuration = decided is null ? Usual() : Usual().With(decided);
        var totals = new VoidTotals(configuration, Candidate(first, last));
        var readings = Driven.ToArray();
        if (seventh is { } total)
            readings[6] = readings[6] with { TotalMillilitres = total };
        totals.Add(Batch(1, readings), Some.Recorded);
        return totals.Across;
    }

    private static FarmConfiguration Usual() => Some.Configuration(Some.ConfigurationEvents());

    private static DecisionCandidate Candidate(long first, long last) =>
        new(Some.DragLine, TelemetryStream.Spread, 1, first, last, "Dropped", "Ada Ash");

    private static ReadingBatch<SpreadReading> Batch(long first, SpreadReading[] readings) =>
        Some.Batch(readings, firstSeq: first).Batch;

    private static ReadingsVoided Void(long seq, VoidedPart part) =>
        new("v", Some.DragLine, TelemetryStream.Spread, 1, seq, seq, part, "Dropped", "Ada Ash");
}
