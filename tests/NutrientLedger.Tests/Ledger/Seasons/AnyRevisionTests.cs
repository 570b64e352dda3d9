using NutrientLedger.Journal;
using NutrientLedger.Journal.Fields;
using NutrientLedger.Journal.Readings;
using NutrientLedger.Journal.Spreading;
using NutrientLedger.Journal.Storage;
using NutrientLedger.Ledger.Lines;
using NutrientLedger.Ledger.Posting;

namespace NutrientLedger.Tests.Ledger.Seasons;

/// <summary>
/// Events withdrawn, or replaced by a later one, in random seasons: only the last one is in the ledger. Calibrations:
/// AnyCalibrationTests.
/// </summary>
public class AnyRevisionTests
{
    private static readonly DateTimeOffset Recorded = new(2026, 3, 9, 12, 0, 0, TimeSpan.Zero);

    public static TheoryData<int> Seeds => [.. Enumerable.Range(1, 16)];

    [Theory]
    [MemberData(nameof(Seeds))]
    public void Voids_made_and_withdrawn_were_never_made(int seed)
    {
        var season = new InventedSeason(seed);
        var clocks = season.Decisions.Where(@event => @event is QuestionableTimeDecided).ToArray();
        var voids = season.Decisions.OfType<ReadingsVoided>().ToArray();
        var withdrawn = voids.Select(it => new VoidWithdrawn(it.VoidId, "It was right after all", "Ada Ash"));
        var never = Posted(season, [.. season.ConfigurationEvents, .. clocks]);

        Assert.NotEqual(
            never.Lines.Order(ByText),
            Posted(season, [.. season.ConfigurationEvents, .. clocks, .. voids]).Lines.Order(ByText)
        );
        SameLedger.Assert(never, Posted(season, [.. season.ConfigurationEvents, .. voids, .. clocks, .. withdrawn]));
        SameLedger.Assert(never, Posted(season, [.. withdrawn, .. season.ConfigurationEvents, .. clocks, .. voids]));
    }

    [Theory]
    [MemberData(nameof(Seeds))]
    public void Clocks_decided_twice_are_decided_once_with_the_last(int seed)
    {
        var season = new InventedSeason(seed);
        var last = season.Decisions.OfType<QuestionableTimeDecided>().ToArray();
        var first = last.Select(it =>
            it.Decision == TimeDecision.LeftOut
                ? it with
                {
                    Decision = TimeDecision.Shifted,
                    ShiftMilliseconds = 7_200_000,
                }
                : it with
                {
                    Decision = TimeDecision.LeftOut,
                    ShiftMilliseconds = 0,
                }
        );

        SameLedger.Assert(
            Posted(season, [.. season.ConfigurationEvents, .. last]),
            Posted(season, [.. season.ConfigurationEvents, .. first, .. last])
        );
    }

    [Theory]
    [MemberData(nameof(Seeds))]
    public void Configuration_events_repeated_for_the_same_moment_count_once_with_the_last(int seed)
    {
        var season = new InventedSeason(seed);
        var other = season.ConfigurationEvents.Select(WithOtherValues).OfType<IJournalEvent>().ToArray();
        var expected = Posted(season, season.ConfigurationEvents);

        Assert.Equal(5, other.Select(@event => @event.GetType()).Distinct().Count());
        SameLedger.Assert(
            expected,
            Posted(season, [season.ConfigurationEvents[0], .. other, .. season.ConfigurationEvents[1..]])
        );
    }

    /// <summary>
    /// The same event with other values. Null where an event is not corrected by another of its kind.
    /// </summary>
    private static IJournalEvent? WithOtherValues(IJournalEvent @event) =>
        @event switch
        {
            ApplicatorRegistered applicator => applicator with { WorkingWidthMillimetres = 24_000 },
            SensorMounted mounted => mounted with { SensorId = "nir-9", HoseMillilitres = 30_000_000 },
            SourceChanged source => source with { PitId = "another-pit" },
            BoundaryRedrawn redrawn => redrawn with { Boundary = Some.Square(northE7: 9_000) },
            ReadingLimitsSet limits => limits with { Limits = [new(LimitedQuantity.Speed, 1, 2, "invented")] },
            _ => null,
        };

    private static Comparer<KeyValuePair<LineKey, LineAmounts>> ByText { get; } =
        Comparer<KeyValuePair<LineKey, LineAmounts>>.Create(
            (one, other) => string.CompareOrdinal($"{one.Key}", $"{other.Key}")
        );

    private static LedgerAddition Posted(InventedSeason season, IEnumerable<IJournalEvent> configuration)
    {
        var (accumulator, under) = (new LedgerAccumulator(), Some.Configuration(configuration));
        foreach (var @event in Arrivals.InOrder(season))
            accumulator.Post(@event, Recorded, under);
        return accumulator.TakeAll();
    }
}
