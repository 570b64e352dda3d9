using NutrientLedger.Ledger.Configuration;
using NutrientLedger.Ledger.Coverage;
using NutrientLedger.Ledger.Posting;

namespace NutrientLedger.Tests.Ledger.Seasons;

/// <summary>Random seasons posted with little memory: the evicted pieces add up to the whole ledger.</summary>
public class RestedPiecesTests
{
    private static readonly DateTimeOffset Recorded = new(2026, 12, 1, 0, 0, 0, TimeSpan.Zero);

    public static TheoryData<int> Seeds => [.. Enumerable.Range(1, 8)];

    [Theory]
    [MemberData(nameof(Seeds))]
    public void Pieces_evicted_while_a_season_is_posted_add_up_to_the_whole(int seed)
    {
        var season = new InventedSeason(seed);
        var configuration = season.ConfigurationEvents.Aggregate(
            FarmConfiguration.Empty,
            (so, @event) => so.With(@event)
        );
        var random = new Random(seed);
        var (whole, inPieces) = (new LedgerAccumulator(), new LedgerAccumulator());
        var pieces = new List<LedgerAddition>();
        foreach (var batch in Arrivals.Shuffled(season, seed))
        {
            whole.Post(batch, Recorded, configuration);
            inPieces.Post(batch, Recorded, configuration);
            if (random.Next(3) > 0)
                continue;
            inPieces.Rest();
            if (random.Next(3) > 0)
                continue;
            pieces.Add(inPieces.TakeRested());
        }
        pieces.Add(inPieces.TakeAll());

        Assert.True(
            pieces.Count(piece => piece.Tiles.Count > 0) > 1,
            "No tile was ever taken out, so nothing was shown."
        );
        Assert.Equal((0, 0), (inPieces.TilesOpen, inPieces.BytesPutAway));
        SameLedger.Assert(whole.TakeAll(), LedgerAddition.Together(pieces));
    }

    [Theory]
    [MemberData(nameof(Seeds))]
    public void Ground_is_covered_the_same_whether_tiles_are_open_or_spilled(int seed)
    {
        var season = new InventedSeason(seed);
        var configuration = season.ConfigurationEvents.Aggregate(
            FarmConfiguration.Empty,
            (so, @event) => so.With(@event)
        );
        var random = new Random(seed);
        var (open, put) = (new LedgerAccumulator(), new LedgerAccumulator());
        foreach (var batch in Arrivals.Shuffled(season, seed))
        {
            open.Post(batch, Recorded, configuration);
            put.Post(batch, Recorded, configuration);
            if (random.Next(3) == 0)
                put.Rest();
        }

        Assert.True(put.BytesPutAway > 0 && put.TilesOpen < open.TilesOpen);
        Assert.Equal(Rows(open.TakeAll().Coverage()), Rows(put.TakeAll().Coverage()));

        static IEnumerable<string> Rows(IEnumerable<CoverageRows> coverage) =>
            coverage
                .SelectMany(place => place.Rows.Select(row => $"{place.FieldId} {place.Season} {row}"))
                .Order(StringComparer.Ordinal);
    }
}
