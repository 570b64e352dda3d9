using NutrientLedger.Agronomy.Fields;
using NutrientLedger.Journal.Spreading;
using NutrientLedger.Ledger.Configuration;
using NutrientLedger.Ledger.Posting;

namespace NutrientLedger.Tests.Ledger.Seasons;

/// <summary>
/// Ground covered by two applicators around days of 23, 24 and 25 hours. Whatever the order and the cuts in which
/// readings arrive, the same cells are covered and overlapped.
/// </summary>
public class AnyOverlapTests
{
    private const string Other = "dragline-2";

    private static readonly TimeSpan Pause = TimeSpan.FromHours(72);

    /// <summary>A zone and a day: with 23, 25, 23, 25 and 24 hours.</summary>
    public static TheoryData<string, string> Days =>
        new()
        {
            { "Europe/Berlin", "2026-03-29" },
            { "Europe/Berlin", "2026-10-25" },
            { "America/Chicago", "2026-03-08" },
            { "America/Chicago", "2026-11-01" },
            { "Asia/Kolkata", "2026-04-14" },
        };

    [Theory]
    [MemberData(nameof(Days))]
    public void Two_machines_side_by_side_overlap_where_their_swaths_do(string zone, string day)
    {
        var at = Midnight(zone, day).AddHours(9);
        var once = Counted(zone, (Some.DragLine, at, 0));

        var (covered, overlapped) = Counted(zone, (Some.DragLine, at, 0), (Other, at.AddSeconds(5), 8));
        Assert.InRange((double)overlapped / once.Covered, 0.5 / 9, 1.5 / 9);
        Assert.Equal(2 * once.Covered, covered + overlapped, tolerance: 10);

        Assert.Equal(0, Counted(zone, (Some.DragLine, at, 0), (Other, at.AddSeconds(5), 10)).Overlapped);
    }

    [Theory]
    [MemberData(nameof(Days))]
    public void A_second_application_weeks_later_is_no_overlap_and_covers_nothing_new(string zone, string day)
    {
        var at = Midnight(zone, day).AddHours(9);
        var once = Counted(zone, (Some.DragLine, at, 0));

        Assert.Equal(once, Counted(zone, (Some.DragLine, at, 0), (Some.DragLine, at.AddDays(21), 0)));
        Assert.Equal(once, Counted(zone, (Some.DragLine, at, 0), (Other, at.AddDays(21), 0)));
    }

    [Theory]
    [MemberData(nameof(Days))]
    public void A_late_backlog_between_two_days_joins_their_work_to_one_application(string zone, string day)
    {
        var at = Midnight(zone, day).AddHours(9);
        (string, DateTimeOffset, int)[] days = [(Some.DragLine, at, 0), (Some.DragLine, at.AddHours(120), 0)];
        var (covered, overlapped) = Counted(zone, days);
        Assert.Equal(0, overlapped);

        Assert.Equal((covered, covered), Counted(zone, [.. days, (Some.DragLine, at.AddHours(60), 0)]));
    }

    /// <summary>The work before midnight goes on after it. Each cell is visited twice, so many seconds apart.</summary>
    [Theory]
    [MemberData(nameof(Days))]
    public void Work_over_midnight_overlaps_only_after_more_than_sixty_seconds(string zone, string day)
    {
        DateTimeOffset[] turns = [Midnight(zone, day), Midnight(zone, $"{DateOnly.Parse(day, null).AddDays(1):O}")];
        foreach (var turn in turns)
        {
            var begin = turn.AddSeconds(-20);
            Assert.Equal(
                0,
                Counted(zone, (Some.DragLine, begin, 0), (Some.DragLine, begin.AddSeconds(40), 0)).Overlapped
            );
            var (covered, overlapped) = Counted(
                zone,
                (Some.DragLine, begin, 0),
                (Some.DragLine, begin.AddSeconds(80), 0)
            );
            Assert.Equal(covered, overlapped);
        }
    }

    [Theory]
    [MemberData(nameof(Days))]
    public void The_pause_is_seventy_two_hours_however_long_the_days_are(string zone, string day)
    {
        var at = Midnight(zone, day).AddHours(-14);
        var once = Counted(zone, (Some.DragLine, at, 0));

        Assert.Equal(once, Counted(zone, (Some.DragLine, at, 0), (Some.DragLine, at + Pause.Add(new(0, 1, 0)), 0)));
        Assert.Equal(
            (once.Covered, once.Covered),
            Counted(zone, (Some.DragLine, at, 0), (Some.DragLine, at + Pause.Add(new(0, -1, 0)), 0))
        );
    }

    /// <summary>
    /// Covered and overlapped cells after some passes of a minute north over the same ground, moved east by some
    /// metres. However they arrive, the figures are the same.
    /// </summary>
    private static (int Covered, int Overlapped) Counted(
        string zone,
        params (string Applicator, DateTimeOffset Start, int EastMetres)[] passes
    )
    {
        var configuration = Some.Configuration([
            Some.Farm(zone),
            Some.Field(Some.West, Some.Square()),
            Some.Applicator(),
            Some.Applicator(Other),
        ]);
        var metre = 1 / GroundScale.At(Some.Corner.LatitudeE7).MetresPerStepEast;
        Series<SpreadReading>[] series =
        [
            .. passes.Select(
                (pass, i) =>
                    new Series<SpreadReading>(
                        pass.Applicator,
                        i + 1,
                        new Pass(61)
                        {
                            Start = pass.Start,
                            From = new(
                                Some.Corner.LatitudeE7 + 1_000,
                                Some.Corner.LongitudeE7 + 5_000 + (int)(pass.EastMetres * metre)
                            ),
                        }.Drive()
                    )
            ),
        ];
        var figures = Enumerable.Range(0, 4).Select(way => Figures(configuration, series, way)).Distinct();
        return Assert.Single(figures);
    }

    private static (int Covered, int Overlapped) Figures(
        FarmConfiguration configuration,
        Series<SpreadReading>[] series,
        int way
    )
    {
        var accumulator = new LedgerAccumulator();
        foreach (var batch in Arrivals.Shuffled(series, [], way))
        {
            accumulator.Post(batch, Some.Recorded, configuration);
            if (way % 2 > 0)
                accumulator.Rest();
        }
        var rows = accumulator.TakeAll().Coverage().SelectMany(place => place.Rows.Values).ToArray();
        return (rows.Sum(row => row.Covered), rows.Sum(row => row.Overlapped));
    }

    private static DateTimeOffset Midnight(string zone, string day)
    {
        var local = DateTime.Parse(day, null);
        return new(local, TimeZoneInfo.FindSystemTimeZoneById(zone).GetUtcOffset(local));
    }
}
