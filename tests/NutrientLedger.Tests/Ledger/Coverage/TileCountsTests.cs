using NutrientLedger.Ledger.Coverage;

namespace NutrientLedger.Tests.Ledger.Coverage;

/// <summary>The covered and overlapped cells of a place, over applicators and days.</summary>
public class TileCountsTests
{
    private const long Day = 86_400;
    private const long Begin = 1_776_000_000;
    private const string Other = "dragline-2";

    private static readonly TilePlace Place = new(Some.West, 2026, 3, -4);

    public static TheoryData<int> Seeds => [.. Enumerable.Range(1, 40)];

    [Fact]
    public void A_place_nobody_visited_has_no_cells() => Assert.Equal((0, 0), Counted());

    [Theory]
    [InlineData(1_000, 1_003, 0)]
    [InlineData(1_000, 1_004, 1)]
    public void A_cell_overlaps_when_visited_again_after_more_than_three_steps(int first, int last, int overlapped) =>
        Assert.Equal((1, overlapped), Counted((Some.DragLine, 0, first, last)));

    [Fact]
    public void Two_applicators_overlap_however_soon_one_follows_the_other()
    {
        Assert.Equal((1, 1), Counted((Some.DragLine, 0, 1_000, 1_000), (Other, 0, 1_000, 1_000)));
        Assert.Equal((1, 0), Counted((Some.DragLine, 0, 1_000, 1_000), (Some.DragLine, 0, 1_000, 1_000)));
    }

    [Theory]
    [InlineData(72 * 180 - 1, 1)]
    [InlineData(72 * 180, 0)]
    public void The_next_visit_after_a_pause_is_another_application(int stepsLater, int overlapped)
    {
        var (days, step) = Math.DivRem(stepsLater + 1_000, 4_320);

        Assert.Equal((1, overlapped), Counted((Some.DragLine, 0, 999, 1_000), (Some.DragLine, days, step, step)));
    }

    [Fact]
    public void Over_midnight_a_cell_is_overlapped_after_more_than_sixty_seconds_as_on_any_day()
    {
        Assert.Equal((1, 0), Counted((Some.DragLine, 0, 4_320, 4_320), (Some.DragLine, 1, 3, 3)));
        Assert.Equal((1, 1), Counted((Some.DragLine, 0, 4_320, 4_320), (Some.DragLine, 1, 4, 4)));
    }

    /// <summary>
    /// Visits less than a pause apart belong together, and whatever belongs to one of them too: found by spreading from
    /// visit to visit instead of sorting.
    /// </summary>
    [Theory]
    [MemberData(nameof(Seeds))]
    public void Any_tiles_in_any_order_count_as_their_cells_do_one_by_one(int seed)
    {
        var random = new Random(seed);
        var visits = Enumerable
            .Range(0, random.Next(1, 7))
            .Select(_ =>
                (Who: Pick(Some.DragLine, Other), Start: Begin + (Day * Pick(0, 0, 1, 2, 3, 4, 9)) + Pick(0, 3_600))
            )
            .Distinct()
            .ToDictionary(key => key, _ => new Dictionary<int, (int First, int Last)>());
        foreach (var cells in visits.Values)
            for (var visit = 0; visit < 1_500; visit++)
            {
                var (cell, step) = (
                    random.Next(40) == 0 ? random.Next(4_096) : random.Next(640),
                    random.Next(3) switch
                    {
                        0 => random.Next(1, 5),
                        1 => random.Next(4_318, 4_321),
                        _ => random.Next(1_000, 1_002),
                    }
                );
                var (first, last) = cells.GetValueOrDefault(cell, (step, step));
                cells[cell] = (Math.Min(first, step), Math.Max(last, step));
            }
        var tiles = visits.Select(tile => Stored(tile.Key.Who, tile.Key.Start, tile.Value)).ToArray();

        var counts = TileCounts.Of(Place, tiles);

        var (covered, overlapped) = (new byte[64], new byte[64]);
        for (var cell = 0; cell < 4_096; cell++)
        {
            var entries = visits
                .Where(tile => tile.Value.ContainsKey(cell))
                .Select(tile =>
                    (
                        tile.Key.Who,
                        First: tile.Key.Start + (20L * tile.Value[cell].First),
                        Last: tile.Key.Start + (20L * tile.Value[cell].Last)
                    )
                )
                .ToHashSet();
            covered[cell / 64] += (byte)(entries.Count > 0 ? 1 : 0);
            overlapped[cell / 64] += (byte)(Groups(entries).Any(IsOverlapped) ? 1 : 0);
        }
        Assert.Equal(covered, counts.Covered);
        Assert.Equal(overlapped, counts.Overlapped);
        random.Shuffle(tiles);
        Assert.Equal(overlapped, TileCounts.Of(Place, tiles).Overlapped);

        T Pick<T>(params T[] choices) => choices[random.Next(choices.Length)];
    }

    private static bool IsOverlapped(List<(string Who, long First, long Last)> group) =>
        group.DistinctBy(entry => entry.Who).Count() > 1
        || group.Max(entry => entry.Last) - group.Min(entry => entry.First) > 60;

    private static IEnumerable<List<(string Who, long First, long Last)>> Groups(
        HashSet<(string Who, long First, long Last)> entries
    )
    {
        while (entries.Count > 0)
        {
            var group = entries.Take(1).ToList();
            entries.ExceptWith(group);
            for (var reached = 0; reached < group.Count; reached++)
            {
                var near = entries.Where(other => Apart(other, group[reached]) < 72 * 3_600).ToList();
                group.AddRange(near);
                entries.ExceptWith(near);
            }
            yield return group;
        }

        static long Apart((string, long First, long Last) one, (string, long First, long Last) other) =>
            Math.Max(one.First - other.Last, other.First - one.Last);
    }

    /// <summary>Covered and overlapped cells of a place of which one cell was visited.</summary>
    private static (int Covered, int Overlapped) Counted(params (string Who, int Day, int First, int Last)[] visits)
    {
        var counts = TileCounts.Of(
            Place,
            [
                .. visits.Select(visit =>
                    Stored(visit.Who, Begin + (visit.Day * Day), new() { [70] = (visit.First, visit.Last) })
                ),
            ]
        );
        return (counts.Covered.Sum(cells => cells), counts.Overlapped.Sum(cells => cells));
    }

    private static KeyValuePair<TileKey, byte[]> Stored(string who, long start, Dictionary<int, (int, int)> cells)
    {
        var tile = new CoverageTile();
        foreach (var (cell, (first, last)) in cells)
        {
            tile.Visit(cell / 64, cell % 64, cell % 64, (ushort)first);
            tile.Visit(cell / 64, cell % 64, cell % 64, (ushort)last);
        }
        var key = new TileKey(Place.FieldId, Place.Season, who, start, Place.TileRow, Place.TileColumn);
        return new(key, tile.Encode());
    }
}
