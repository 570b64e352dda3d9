using NutrientLedger.Agronomy.Fields;

namespace NutrientLedger.Tests.Agronomy.Fields;

/// <summary>
/// Against geodesics (checked in <see cref="GeodesicPolygonTests"/>); tolerance 1e-6 of the distance.
/// </summary>
public sealed class SegmentTests
{
    [Fact]
    public void Distances_up_to_2_km_agree_with_the_geodesic_in_every_direction_up_to_65_degrees()
    {
        var random = new Random(4711);
        for (var latitude = -65; latitude <= 65; latitude += 5)
        for (var direction = 0; direction < 360; direction += 9)
        {
            var metres = 0.1 * Math.Pow(20_000, random.NextDouble());
            var a = new GeoPoint(latitude * 10_000_000, random.Next(-1_700_000_000, 1_700_000_000));
            var (sine, cosine) = Math.SinCos(direction * Math.PI / 180);
            var b = SomeFields.Moved(a, metres * cosine, metres * sine);
            var geodesic = GeodesicLine.Between(GeodesicPolygon.Degrees(a), GeodesicPolygon.Degrees(b)).Metres;
            Assert.Equal(geodesic, new Segment(a, b).Metres, 1e-6 * geodesic);
        }
    }

    [Fact]
    public void Distance_is_the_same_both_ways_and_nothing_between_a_point_and_itself()
    {
        var (a, b) = (new GeoPoint(420_000_000, -930_000_000), new GeoPoint(420_001_234, -930_004_321));
        Assert.Equal(new Segment(a, b).Metres, new Segment(b, a).Metres);
        Assert.Equal(0, new Segment(a, a).Metres);
    }

    [Fact]
    public void A_midpoint_rounds_down_on_both_sides_of_zero()
    {
        Assert.Equal(new(1, -2), GeoPoint.Midpoint(new(1, -1), new(2, -2)));
        Assert.Equal(
            new(0, 1_799_999_999),
            GeoPoint.Midpoint(new(-900_000_000, 1_799_999_999), new(900_000_000, 1_800_000_000))
        );
    }
}
