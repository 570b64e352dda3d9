using NetTopologySuite.Geometries.Prepared;
using NutrientLedger.Agronomy.Fields;

namespace NutrientLedger.Tests.Agronomy.Fields;

public sealed class BoundaryLocationTests
{
    [Fact]
    public void Points_off_the_edges_lie_where_a_geometry_library_finds_them()
    {
        var fields = new SomeFields(seed: 99);
        var (inside, outside) = (0, 0);
        for (var count = 0; count < 60; count++)
        {
            var field = count % 2 == 0 ? fields.NextHoled() : fields.Next(fields.Hectares());
            var origin = field.Parts[0].Outer.Corners[0];
            var shape = PlanarShapes.Of(field, origin);
            var prepared = PreparedGeometryFactory.Prepare(shape);
            for (var points = 0; points < 100; points++)
            {
                var point = fields.PointNear(field);
                var place = PlanarShapes.Of(point, origin);
                if (shape.Boundary.Distance(place) < 1)
                    continue;
                var expected = prepared.Contains(place);
                Assert.Equal(expected, BoundaryLocation.Holds(field, point));
                inside += expected ? 1 : 0;
                outside += expected ? 0 : 1;
            }
        }
        Assert.True(inside > 1000 && outside > 1000, $"Only {inside} points inside and {outside} outside.");
    }

    [Fact]
    public void Each_point_of_two_adjoining_fields_belongs_to_exactly_one()
    {
        var random = new Random(5);
        for (var count = 0; count < 200; count++)
        {
            // A square of 24 steps, cut from west to east along corners that both fields share.
            GeoPoint[] cut = [.. Enumerable.Range(0, 5).Select(index => new GeoPoint(random.Next(2, 23), index * 6))];
            var southern = Field([new(0, 24), new(0, 0), .. cut]);
            var northern = Field([new(24, 0), new(24, 24), .. cut.Reverse()]);
            var whole = Field([new(0, 0), new(0, 24), new(24, 24), new(24, 0)]);
            AssertShared(whole, southern, northern);
        }
    }

    [Fact]
    public void Each_point_of_fields_meeting_in_one_corner_belongs_to_exactly_one()
    {
        var random = new Random(6);
        GeoPoint[] around =
        [
            new(0, 0),
            new(0, 13),
            new(0, 24),
            new(11, 24),
            new(24, 24),
            new(24, 8),
            new(24, 0),
            new(5, 0),
        ];
        var whole = Field(around);
        for (var count = 0; count < 200; count++)
        {
            var middle = new GeoPoint(random.Next(1, 24), random.Next(1, 24));
            AssertShared(
                whole,
                [.. around.Select((corner, index) => Field([middle, corner, around[(index + 1) % around.Length]]))]
            );
        }
    }

    [Fact]
    public void A_pond_cut_out_and_the_same_pond_drawn_as_a_field_share_no_point()
    {
        Ring outer = new([new(0, 0), new(0, 24), new(24, 24), new(24, 0)]);
        Ring pond = new([new(4, 7), new(9, 20), new(20, 11), new(12, 12)]);
        AssertShared(new([new(outer, [])]), new([new(outer, [pond])]), new([new(pond, [])]));
    }

    [Fact]
    public void The_west_and_south_edges_belong_to_a_field_and_the_east_and_north_edges_do_not()
    {
        var field = Field([new(0, 0), new(0, 10), new(10, 10), new(10, 0)]);
        Assert.True(BoundaryLocation.Holds(field, new(0, 0)));
        Assert.True(BoundaryLocation.Holds(field, new(5, 0)));
        Assert.True(BoundaryLocation.Holds(field, new(0, 5)));
        Assert.False(BoundaryLocation.Holds(field, new(5, 10)));
        Assert.False(BoundaryLocation.Holds(field, new(10, 5)));
    }

    [Fact]
    public void The_test_stays_exact_over_the_whole_Earth()
    {
        var hemisphere = Field([
            new(-900_000_000, -1_800_000_000),
            new(-900_000_000, 1_800_000_000),
            new(900_000_000, 1_800_000_000),
        ]);
        // The long edge is the line longitude = 2 × latitude. It is a western edge, so its own points belong to the
        // field.
        Assert.True(BoundaryLocation.Holds(hemisphere, new(899_999_998, 1_799_999_997)));
        Assert.True(BoundaryLocation.Holds(hemisphere, new(-1, -2)));
        Assert.False(BoundaryLocation.Holds(hemisphere, new(-1, -3)));
    }

    private static void AssertShared(Boundary whole, params Boundary[] pieces)
    {
        for (var latitude = -1; latitude <= 25; latitude++)
        for (var longitude = -1; longitude <= 25; longitude++)
        {
            var point = new GeoPoint(latitude, longitude);
            var holders = pieces.Count(piece => BoundaryLocation.Holds(piece, point));
            Assert.Equal(BoundaryLocation.Holds(whole, point) ? 1 : 0, holders);
        }
    }

    private static Boundary Field(params GeoPoint[] corners) => new([new(new([.. corners]), [])]);
}
