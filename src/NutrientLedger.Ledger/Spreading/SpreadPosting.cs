using NutrientLedger.Agronomy.Fields;
using NutrientLedger.Agronomy.Spreading;
using NutrientLedger.Journal.Fields;
using NutrientLedger.Journal.Spreading;

namespace NutrientLedger.Ledger;

/// <summary>Posts the intervals of one applicator into a book; the steps are those of DEVELOPERS.md "Posting, exactly".</summary>
internal sealed class SpreadPosting(
    LedgerBook book,
    RegisterContents register,
    FarmRegistered farm,
    FarmCalendar calendar,
    ApplicatorRegistered applicator
)
{
    // Sixty-four cells a tile; shifting a negative row rounds down, as tiles are counted.
    private const int TileBits = 6;
    private const int TileMask = CoverageTile.Side - 1;

    private Standing? standing;
    private LineKey key;
    private OpenLine? line;
    private TileKey tileKey;
    private CoverageTile? tile;

    /// <summary>Posts the interval between two neighbouring readings, neither of them doubtful; a person may have voided the contents of the first.</summary>
    public void Post(in SpreadReading a, in SpreadReading b, bool contentVoid)
    {
        var now = StandingAt(a.MeasuredAtMilliseconds);
        var lasted = b.MeasuredAtMilliseconds - a.MeasuredAtMilliseconds;
        var metered = MeterInterval.VolumeMillilitres(
            a.TotalMillilitres,
            b.TotalMillilitres,
            a.FlowMillilitresPerSecond,
            b.FlowMillilitresPerSecond,
            lasted,
            applicator.MeterModulusMillilitres
        );
        if (metered is not { } millilitres)
        {
            Line(now, "").AddUnknown();
            return;
        }
        if (Position(a) is not { } from || Position(b) is not { } to || !IsPlaced(from, to, lasted, out var metres))
        {
            Line(now, "").AddNotPlaced(millilitres);
            return;
        }

        var fieldId = now.Fields?.Holding(GeoPoint.Midpoint(from, to))?.FieldId ?? "";
        if (a.Engaged is false)
        {
            Line(now, fieldId).AddDisengaged(millilitres, now.Flags.RunsWhileDisengaged(millilitres, lasted));
            return;
        }
        var sensorOnApplicator = now.Sensor?.Place == SensorPlace.OnApplicator;
        var width = a.WidthMillimetres ?? applicator.WorkingWidthMillimetres;
        Line(now, fieldId)
            .AddEngaged(
                millilitres,
                TravelledArea.SquareCentimetres(metres, width),
                a,
                sensorOnApplicator,
                b.MeasuredAtMilliseconds,
                now.Flags.Engaged(a, contentVoid, sensorOnApplicator, millilitres, lasted)
            );
        if (fieldId.Length > 0 && metres > 0 && book.Covers(applicator.ApplicatorId, fieldId))
            Cover(fieldId, now.Season, from, to, width, FarmCalendar.Seconds(a.MeasuredAtMilliseconds));
    }

    /// <summary>Puts what is still open into the book; a line of nothing but zeros (driving with the tool lifted) says nothing.</summary>
    public void Close()
    {
        if (line?.Close() is { } amounts && amounts != LineAmounts.None)
            book.Add(key, amounts);
        line = null;
    }

    private Standing StandingAt(long milliseconds) =>
        standing is { } current && current.Holds(milliseconds)
            ? current
            : standing = Standing.At(register, calendar, applicator.ApplicatorId, milliseconds);

    private static GeoPoint? Position(in SpreadReading reading) =>
        reading is { LatitudeE7: { } latitude, LongitudeE7: { } longitude } ? new(latitude, longitude) : null;

    private bool IsPlaced(GeoPoint from, GeoPoint to, long lasted, out double metres)
    {
        metres = GroundDistance.Metres(from, to);
        return applicator.MeterCounts == MeterCounts.Spreading && Placement.IsKnown(lasted, metres);
    }

    private OpenLine Line(Standing now, string fieldId)
    {
        var wanted = new LineKey(
            fieldId,
            now.Season,
            now.HourStartSeconds,
            applicator.ApplicatorId,
            now.PitId,
            now.Sensor?.SensorId ?? ""
        );
        if (line is not null && wanted == key)
            return line;
        Close();
        key = wanted;
        return line = new();
    }

    private void Cover(string fieldId, int season, GeoPoint from, GeoPoint to, int width, long seconds)
    {
        foreach (var cell in Strip.Cells(farm.Lattice, from, to, width))
        {
            var at = new TileKey(fieldId, season, cell.Row >> TileBits, cell.Column >> TileBits);
            if (tile is null || at != tileKey)
                (tileKey, tile) = (at, book.Tile(at));
            tile.Visit(cell.Row & TileMask, cell.Column & TileMask, seconds);
        }
    }
}
