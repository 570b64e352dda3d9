using NutrientLedger.Agronomy.Spreading;

namespace NutrientLedger.Tests.Agronomy.Spreading;

/// <summary>
/// The rules of the Ledger's README, "Posting, exactly", intervals 2 and 6 (own rules, no published source).
/// </summary>
public sealed class PlacementTests
{
    [Theory]
    [InlineData(1, 0, true)]
    [InlineData(1_000, 15, true)]
    [InlineData(1_000, 15.001, false)]
    [InlineData(10_000, 150, true)]
    [InlineData(10_001, 0, false)]
    [InlineData(0, 0, false)]
    [InlineData(-1_000, 0, false)]
    public void Manure_is_placed_between_readings_at_most_10_s_and_15_metres_a_second_apart(
        long milliseconds,
        double metres,
        bool placed
    ) => Assert.Equal(placed, Placement.IsKnown(milliseconds, metres));

    [Theory]
    [InlineData(2.5, 12_000, 300_000)] // 2.5 m × 12 m = 30 m²
    [InlineData(0.00015, 1_000, 2)] // 1.5 cm² rounds away from zero
    [InlineData(0.00025, 1_000, 3)]
    [InlineData(0, 12_000, 0)]
    public void Travelled_area_is_distance_times_width_in_whole_square_centimetres(
        double metres,
        int widthMillimetres,
        long squareCentimetres
    ) => Assert.Equal(squareCentimetres, TravelledArea.SquareCentimetres(metres, widthMillimetres));
}
