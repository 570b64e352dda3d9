using NutrientLedger.Ledger;

namespace NutrientLedger.Tests.Ledger.Spreading;

public class PostingTests
{
    [Fact]
    public void A_pass_over_a_field_becomes_one_line_with_its_volume_area_and_weighted_sums()
    {
        var book = Some.Posted(Some.Register(Some.Entries()), Some.Pack(new Pass(11).Drive()));

        var (key, amounts) = Assert.Single(book.Lines);
        Assert.Equal(new(Some.West, 2026, Some.Morning.ToUnixTimeSeconds(), Some.DragLine, Some.Pit, Some.Sensor), key);
        Assert.Equal(300_000, amounts.VolumeMillilitres);
        Assert.Equal(10, amounts.Intervals);
        Assert.Equal(Some.Morning.ToUnixTimeMilliseconds() + 10_000, amounts.LastMeasuredAtMilliseconds);
        Assert.Equal(new AnalyteSums(300_000L * 4_000, 0), amounts.TotalNitrogen);
        Assert.Equal(new AnalyteSums(300_000L * 60_000, 0), amounts.DryMatter);
        // 180 steps of 1e-7 degree north at 42 degrees are 1.9993 m (111 072 m a degree there), ten of them 9 m wide 179.94 m².
        Assert.InRange(amounts.AreaTravelledSquareCentimetres, 1_799_000, 1_799_800);
    }

    [Fact]
    public void Covered_cells_add_up_to_the_area_travelled_when_nothing_overlaps()
    {
        var register = Some.Register(Some.Entries());
        var book = Some.Posted(register, Some.Pack(new Pass(61).Drive()));

        var rows = Assert.Single(CoverageRows.Of(book.Tiles));
        var travelled = Assert.Single(book.Lines).Value.AreaTravelledSquareCentimetres / 1e4;
        Assert.InRange(rows.CoveredSquareMetres(Some.Lattice) / travelled, 0.97, 1.03);
        Assert.Equal(0, rows.OverlappedSquareMetres(Some.Lattice));
    }
}
