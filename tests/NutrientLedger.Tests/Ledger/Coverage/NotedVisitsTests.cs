using NutrientLedger.Agronomy.Fields;
using NutrientLedger.Journal.Spreading;
using NutrientLedger.Ledger.Coverage;
using NutrientLedger.Ledger.Posting;

namespace NutrientLedger.Tests.Ledger.Coverage;

/// <summary>Buffered swaths fill the same cells as visiting each cell at once, one by one.</summary>
public class NotedVisitsTests
{
    public static TheoryData<int> Seeds => [.. Enumerable.Range(1, 30)];

    [Theory]
    [MemberData(nameof(Seeds))]
    public void Any_drive_visits_the_cells_of_its_swaths_whether_tiles_are_evicted_meanwhile_or_not(int seed)
    {
        var drives = Drives(new(seed));
        var configuration = Some.Configuration(Some.ConfigurationEvents());
        var (accumulator, evicted) = (new LedgerAccumulator(), new LedgerAccumulator());
        var expected = new Dictionary<TileKey, CoverageTile>();
        var seq = 1L;
        foreach (var drive in drives)
        {
            var batch = Some.Batch(drive, firstSeq: seq);
            accumulator.Post(batch, Some.Recorded, configuration);
            evicted.Post(batch, Some.Recorded, configuration);
            evicted.Rest();
            seq += drive.Length + 1;
            foreach (var (a, b) in drive.Zip(drive.Skip(1)))
                Visit(expected, a, b);
        }

        Assert.True(expected.Count > 1);
        var stored = Sorted(expected.ToDictionary(tile => tile.Key, tile => tile.Value.Encode()));
        Assert.Equal(stored, Sorted(accumulator.TakeAll().Tiles));
        Assert.Equal(stored, Sorted(evicted.TakeAll().Tiles));
    }

    /// <summary>
    /// Along the grid and across it, one or ten readings a second, some over ground driven on before.
    /// </summary>
    private static List<SpreadReading[]> Drives(Random random)
    {
        var drives = new List<SpreadReading[]>();
        var at = Some.Morning.ToUnixTimeMilliseconds();
        for (var drive = 0; drive < 12; drive++)
        {
            var (stepMs, north, east) = random.Next(4) switch
            {
                0 => (1_000, 200, 0),
                1 => (1_000, 0, -250),
                2 => (100, 20, 0),
                _ => (random.Next(2) == 0 ? 1_000 : 100, random.Next(-60, 60), random.Next(-60, 60)),
            };
            var (south, west) = (random.Next(6_000, 14_000), random.Next(6_000, 14_000));
            var readings = new SpreadReading[20];
            for (var i = 0; i < readings.Length; i++)
                readings[i] = new(
                    at + (i * stepMs),
                    Some.Corner.LatitudeE7 + south + (i * north),
                    Some.Corner.LongitudeE7 + west + (i * east),
                    Engaged: true,
                    TotalMillilitres: i * 1_000
                );
            drives.Add(readings);
            at += random.Next(100_000);
        }
        return drives;
    }

    private static void Visit(Dictionary<TileKey, CoverageTile> tiles, SpreadReading a, SpreadReading b)
    {
        var segment = new Segment(Position(a), Position(b));
        if (segment.Metres == 0)
            return;
        var midnight = Some.Morning.AddHours(-10).ToUnixTimeSeconds();
        foreach (var run in new Swath(Some.Grid, segment, Some.Applicator().WorkingWidthMillimetres))
            for (var column = run.FirstColumn; column <= run.LastColumn; column++)
            {
                var key = new TileKey(Some.West, 2026, Some.DragLine, midnight, Down(run.Row), Down(column));
                tiles.TryAdd(key, new());
                var (row, inTile) = (
                    run.Row - (key.TileRow * CoverageTile.Side),
                    column - (key.TileColumn * CoverageTile.Side)
                );
                tiles[key].Visit(row, inTile, inTile, CoverageTile.Step(a.MeasuredAtMilliseconds / 1000, midnight));
            }

        static GeoPoint Position(SpreadReading reading) => new(reading.LatitudeE7!.Value, reading.LongitudeE7!.Value);

        static int Down(int cell) => (int)Math.Floor((double)cell / CoverageTile.Side);
    }

    private static IEnumerable<string> Sorted(IReadOnlyDictionary<TileKey, byte[]> tiles) =>
        Seasons.SameLedger.Sorted(tiles, Convert.ToHexString);
}
