using NutrientLedger.Agronomy.Fields;
using NutrientLedger.Agronomy.Spreading;
using NutrientLedger.Journal;
using NutrientLedger.Journal.Fields;
using NutrientLedger.Journal.Spreading;

namespace NutrientLedger.Ledger;

/// <summary>
/// Posts the packs of one applicator into a book; the steps are those of DEVELOPERS.md "Posting, exactly". What was found for one
/// interval (standing, field, line, tiles) is kept for the next, which is nearly always near it.
/// </summary>
internal sealed class SpreadPosting
{
    private readonly LedgerBook book;
    private readonly Register register;
    private readonly FarmRegistered farm;
    private readonly FarmCalendar calendar;
    private readonly ApplicatorRegistered applicator;

    private DecidedReadings decided = DecidedReadings.Nothing;
    private long? decidedBoot;
    private Standing? standing;
    private int fieldFound = -1;
    private LineKey key;
    private OpenLine? line;
    private readonly NearTiles tiles;

    private SpreadPosting(
        LedgerBook book,
        Register register,
        FarmRegistered farm,
        FarmCalendar calendar,
        ApplicatorRegistered applicator
    )
    {
        (this.book, this.register, this.farm, this.calendar, this.applicator) = (
            book,
            register,
            farm,
            calendar,
            applicator
        );
        tiles = new(book);
    }

    /// <summary>The posting of a sender's packs; nothing for one that is no registered applicator.</summary>
    public static SpreadPosting? Of(LedgerBook book, Register register, string equipmentId) =>
        register is { Farm: { } farm, Calendar: { } calendar } && register.Applicator(equipmentId) is { } applicator
            ? new(book, register, farm, calendar, applicator)
            : null;

    /// <summary>Posts every pair of neighbouring readings that lie in a pack, doubtful and voided ones left out.</summary>
    public void Post(Pack<SpreadReading> pack, DateTimeOffset recordedAt)
    {
        if (decidedBoot != pack.Boot)
            (decided, decidedBoot) = (register.Decided(pack.EquipmentId, TelemetryStream.Spread, pack.Boot), pack.Boot);
        var run = new Run(this, Doubtful.SoundTimes(recordedAt, calendar), pack.FirstSeq);
        if (pack.Before is { } before)
            run.Begin(before);
        foreach (ref readonly var reading in pack.Readings.AsSpan())
            run.Read(reading);
        if (pack.After is { } after)
            run.Read(after);
    }

    /// <summary>Posts the interval between two neighbouring readings, neither of them doubtful; a person may have voided the contents of the first.</summary>
    private void Post(in SpreadReading a, in SpreadReading b, bool contentVoid)
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
        if (Placed(a, b, lasted) is not { } leg)
        {
            Line(now, "").AddNotPlaced(millilitres);
            return;
        }

        var fieldId = now.Fields?.Holding(GeoPoint.Midpoint(leg.From, leg.To), ref fieldFound)?.FieldId ?? "";
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
                TravelledArea.SquareCentimetres(leg.Metres, width),
                a,
                sensorOnApplicator,
                b.MeasuredAtMilliseconds,
                now.Flags.Engaged(a, contentVoid, sensorOnApplicator, millilitres, lasted)
            );
        if (fieldId.Length > 0 && leg.Metres > 0 && book.Covers(applicator.ApplicatorId, fieldId))
            tiles.Visit(
                fieldId,
                now.Season,
                new(farm.Lattice, leg, width),
                FarmCalendar.Seconds(a.MeasuredAtMilliseconds)
            );
    }

    /// <summary>Puts what is still open into the book; a line of nothing but zeros (driving with the tool lifted) says nothing.</summary>
    public void Close()
    {
        if (line?.Close() is { } amounts && amounts != LineAmounts.None)
            book.Add(key, amounts);
        line = null;
    }

    /// <summary>Looks the tiles up anew from now on.</summary>
    public void LeaveTiles() => tiles.Leave();

    private Standing StandingAt(long milliseconds)
    {
        if (standing is { } current && current.Holds(milliseconds))
            return current;
        var next = Standing.At(register.Contents, calendar, applicator.ApplicatorId, milliseconds);
        // Where a field was found in one map says nothing about another.
        if (standing?.Fields != next.Fields)
            fieldFound = -1;
        return standing = next;
    }

    /// <summary>The way between two readings; nothing where it cannot be said where the manure went.</summary>
    private Leg? Placed(in SpreadReading a, in SpreadReading b, long lasted) =>
        applicator.MeterCounts == MeterCounts.Spreading
        && Position(a) is { } from
        && Position(b) is { } to
        && new Leg(from, to) is var leg
        && Placement.IsKnown(lasted, leg.Metres)
            ? leg
            : null;

    private static GeoPoint? Position(in SpreadReading reading) =>
        reading is { LatitudeE7: { } latitude, LongitudeE7: { } longitude } ? new(latitude, longitude) : null;

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

    /// <summary>Goes through neighbouring readings and posts each pair of which neither stays out.</summary>
    private ref struct Run(SpreadPosting posting, Doubtful.Times sound, long firstSeq)
    {
        private long seq = firstSeq;
        private SpreadReading last;
        private bool hasLast;
        private bool contentVoid;

        /// <summary>The reading before the pack's first one.</summary>
        public void Begin(in SpreadReading before)
        {
            seq--;
            Read(before);
        }

        public void Read(in SpreadReading reading)
        {
            var number = seq++;
            if (posting.decided.IsEmpty)
            {
                Next(reading, sound.Hold(reading.MeasuredAtMilliseconds), nextContentVoid: false);
                return;
            }
            var decision = posting.decided[number];
            var read = decision.Read(reading, sound);
            Next(read.GetValueOrDefault(), read.HasValue, decision.CompositionVoid);
        }

        private void Next(in SpreadReading next, bool counts, bool nextContentVoid)
        {
            if (hasLast && counts)
                posting.Post(last, next, contentVoid);
            (last, hasLast, contentVoid) = (next, counts, nextContentVoid);
        }
    }
}
