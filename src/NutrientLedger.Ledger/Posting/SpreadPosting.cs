using NutrientLedger.Agronomy.Fields;
using NutrientLedger.Agronomy.Spreading;
using NutrientLedger.Journal;
using NutrientLedger.Journal.Fields;
using NutrientLedger.Journal.Spreading;
using NutrientLedger.Ledger.Configuration;
using NutrientLedger.Ledger.Lines;

namespace NutrientLedger.Ledger.Posting;

/// <summary>
/// Posts the batches of one applicator into an accumulator. The steps are those of this room's README, "Posting,
/// exactly". The context, field, line and tiles of one interval are kept for the next, which is nearly always near it.
/// </summary>
internal sealed class SpreadPosting
{
    private readonly LedgerAccumulator accumulator;
    private readonly FarmConfiguration configuration;
    private readonly FarmRegistered farm;
    private readonly FarmCalendar calendar;
    private readonly ApplicatorRegistered applicator;

    private DecidedReadings decided = DecidedReadings.Nothing;
    private long? decidedBoot;
    private PostingContext? context;
    private bool isPosted;
    private int fieldFound = -1;
    private LineKey key;
    private OpenLine? line;
    private readonly NearTiles tiles;

    private SpreadPosting(
        LedgerAccumulator accumulator,
        FarmConfiguration configuration,
        FarmRegistered farm,
        FarmCalendar calendar,
        ApplicatorRegistered applicator
    )
    {
        (this.accumulator, this.configuration, this.farm, this.calendar, this.applicator) = (
            accumulator,
            configuration,
            farm,
            calendar,
            applicator
        );
        tiles = new(accumulator, applicator.ApplicatorId);
    }

    /// <summary>The posting of a device's batches. Null for one that is no registered applicator.</summary>
    public static SpreadPosting? Of(
        LedgerAccumulator accumulator,
        FarmConfiguration configuration,
        string equipmentId
    ) =>
        configuration is { Farm: { } farm, Calendar: { } calendar }
        && configuration.Applicator(equipmentId) is { } applicator
            ? new(accumulator, configuration, farm, calendar, applicator)
            : null;

    /// <summary>
    /// Posts every pair of neighbouring readings in a batch. Void readings and those of questionable time are left out.
    /// </summary>
    public void Post(ReadingBatch<SpreadReading> batch, DateTimeOffset recordedAt)
    {
        if (decidedBoot != batch.Boot)
            (decided, decidedBoot) = (
                configuration.Decided(batch.EquipmentId, TelemetryStream.Spread, batch.Boot),
                batch.Boot
            );
        var pairs = new NeighbourPairs(this, QuestionableTime.SoundTimes(recordedAt, calendar), batch.FirstSeq);
        if (batch.Before is { } before)
            pairs.Begin(before);
        foreach (ref readonly var reading in batch.Readings.AsSpan())
            pairs.Read(reading);
        if (batch.After is { } after)
            pairs.Read(after);
    }

    /// <summary>
    /// Posts the interval between two neighbouring readings, both of valid time. A person may have voided the contents
    /// of the first.
    /// </summary>
    private void Post(in SpreadReading a, in SpreadReading b, bool contentVoid)
    {
        var context = ContextAt(a.MeasuredAtMilliseconds);
        if (!isPosted)
            return;
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
            Line(context, "").AddUnknown();
            return;
        }
        if (Placed(a, b, lasted) is not { } segment)
        {
            Line(context, "").AddNotPlaced(millilitres);
            return;
        }

        var midpoint = GeoPoint.Midpoint(segment.From, segment.To);
        var fieldId = context.Fields?.Holding(midpoint, ref fieldFound)?.FieldId ?? "";
        if (a.Engaged is false)
        {
            Line(context, fieldId).AddDisengaged(millilitres, context.Flags.RunsWhileDisengaged(millilitres, lasted));
            return;
        }
        var sensorOnApplicator = context.Sensor?.Place == SensorPlace.OnApplicator;
        var width = a.WidthMillimetres ?? applicator.WorkingWidthMillimetres;
        var flags = context.Flags.Engaged(a, contentVoid, sensorOnApplicator, millilitres, lasted);
        if (context.Zones?.Holds(midpoint) is true)
            flags |= FlagRules.InsideNoSpreadZone;
        Line(context, fieldId)
            .AddEngaged(
                millilitres,
                TravelledArea.SquareCentimetres(segment.Metres, width),
                a,
                sensorOnApplicator,
                b.MeasuredAtMilliseconds,
                flags
            );
        if (fieldId.Length > 0 && segment.Metres > 0 && accumulator.WithCoverage)
            tiles.Visit(
                fieldId,
                context,
                new(farm.Grid, segment, width),
                FarmCalendar.Seconds(a.MeasuredAtMilliseconds)
            );
    }

    /// <summary>
    /// Adds what is still open to the accumulator. A line of zeros only (driving with the tool lifted) is dropped.
    /// </summary>
    public void Close()
    {
        if (line?.Close() is { } amounts && amounts != LineAmounts.None)
            accumulator.Add(key, amounts);
        line = null;
    }

    /// <summary>Looks the tiles up again from now on.</summary>
    public void LeaveTiles() => tiles.Leave();

    private PostingContext ContextAt(long milliseconds)
    {
        if (context is { } current && current.Holds(milliseconds))
            return current;
        var next = PostingContext.At(configuration.Index, calendar, applicator.ApplicatorId, milliseconds);
        // A field found in one map means nothing in another.
        if (context?.Fields != next.Fields)
            fieldFound = -1;
        isPosted = accumulator.Posts(next.Season, applicator.ApplicatorId);
        return context = next;
    }

    /// <summary>The segment between two readings. Null where the place of the manure is unknown.</summary>
    private Segment? Placed(in SpreadReading a, in SpreadReading b, long lasted) =>
        applicator.MeterCounts == MeterCounts.Spreading
        && Position(a) is { } from
        && Position(b) is { } to
        && new Segment(from, to) is var segment
        && Placement.IsKnown(lasted, segment.Metres)
            ? segment
            : null;

    private static GeoPoint? Position(in SpreadReading reading) =>
        reading is { LatitudeE7: { } latitude, LongitudeE7: { } longitude } ? new(latitude, longitude) : null;

    private OpenLine Line(PostingContext context, string fieldId)
    {
        var wanted = new LineKey(
            fieldId,
            context.Season,
            context.HourStartSeconds,
            applicator.ApplicatorId,
            context.PitId,
            context.Sensor?.SensorId ?? ""
        );
        if (line is not null && wanted == key)
            return line;
        Close();
        key = wanted;
        return line = new();
    }

    /// <summary>Goes through neighbouring readings and posts each pair of which neither stays out.</summary>
    private ref struct NeighbourPairs(SpreadPosting posting, QuestionableTime.Times sound, long firstSeq)
    {
        private long seq = firstSeq;
        private SpreadReading last;
        private bool hasLast;
        private bool contentVoid;

        /// <summary>The reading before the batch's first one.</summary>
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
