namespace NutrientLedger.Tests.Agronomy.Fields;

/// <summary>
/// Checks the geodesic reference itself against published answers: GeographicLib, manual page of the program Planimeter
/// and its tests (seen). Tolerances are those of the printed digits.
/// </summary>
public sealed class GeodesicPolygonTests
{
    [Fact]
    public void P26_Antarctica_with_a_pole_inside_and_the_date_line_crossed()
    {
        var polygon = GeodesicPolygon.Of(
            (-63.1, -58),
            (-72.9, -74),
            (-71.9, -102),
            (-74.9, -102),
            (-74.3, -131),
            (-77.5, -163),
            (-77.4, 163),
            (-71.7, 172),
            (-65.9, 140),
            (-65.7, 113),
            (-66.6, 88),
            (-66.9, 59),
            (-69.8, 25),
            (-70.0, -4),
            (-71.0, -14),
            (-77.3, -33),
            (-77.9, -46),
            (-74.7, -61)
        );
        Assert.Equal(16831067.893, polygon.PerimeterMetres, 0.001);
        Assert.Equal(13662703680020.1, polygon.SquareMetres, 0.1);
    }

    [Fact]
    public void P27_a_square_of_100_km_in_UTM_zone_18()
    {
        var polygon = GeodesicPolygon.Of(
            TransverseMercator.Zone18North(500000, 4400000),
            TransverseMercator.Zone18North(600000, 4400000),
            TransverseMercator.Zone18North(600000, 4500000),
            TransverseMercator.Zone18North(500000, 4500000)
        );
        Assert.Equal(400139.532959, polygon.PerimeterMetres, 1e-5);
        Assert.Equal(10007388597.2, polygon.SquareMetres, 0.1);
    }

    [Fact]
    public void P28_an_eighth_of_the_Earth()
    {
        var polygon = GeodesicPolygon.Of((90, 0), (0, 0), (0, 90));
        Assert.Equal(30022685, polygon.PerimeterMetres, 1.0);
        Assert.Equal(63758202715511, polygon.SquareMetres, 1.0);
        var open = GeodesicLine.Between((90, 0), (0, 0)).Metres + GeodesicLine.Between((0, 0), (0, 90)).Metres;
        Assert.Equal(20020719, open, 1.0);
    }

    // Section O of the published values; derived there with an independent library, not published.
    [Theory]
    [InlineData(43.000, 43.004, -89.000, -88.995, 1704.125431, 181166.3716)]
    [InlineData(42.000, 42.007, -93.500, -93.490, 3211.951344, 644140.5217)]
    public void Field_sized_rectangles_agree_with_an_independent_calculation(
        double south,
        double north,
        double west,
        double east,
        double perimeterMetres,
        double squareMetres
    )
    {
        var polygon = GeodesicPolygon.Of((south, west), (south, east), (north, east), (north, west));
        Assert.Equal(perimeterMetres, polygon.PerimeterMetres, 1e-6);
        Assert.Equal(squareMetres, polygon.SquareMetres, 1e-3);
    }
}
