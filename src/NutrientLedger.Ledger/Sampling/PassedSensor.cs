using NutrientLedger.Agronomy.Spreading;
using NutrientLedger.Journal;
using NutrientLedger.Journal.Sampling;
using NutrientLedger.Journal.Spreading;

namespace NutrientLedger.Ledger;

/// <summary>What ran past a sensor in one window: mL, mL × content (mg/L, or ppm for dry matter), and the mL that came without a content.</summary>
public readonly record struct PassedContent(long VolumeMillilitres, Int128 WeightedSum, long MillilitresWithout)
{
    /// <summary>The volume-weighted mean in the sensor's unit; nothing where nothing was measured.</summary>
    public double? Mean =>
        VolumeMillilitres > MillilitresWithout ? (double)WeightedSum / (VolumeMillilitres - MillilitresWithout) : null;
}

/// <summary>
/// Sums up what one sensor measured of one analyte in the windows of samples, pack by pack. The intervals are those that are posted: two
/// neighbouring readings, volume by the meter, the content and the time of the first; doubtful and voided ones stay out. Whole numbers, so
/// that neither order nor cutting of the packs makes a difference.
/// </summary>
public sealed class PassedSensor(
    Register register,
    string sensorId,
    Analyte analyte,
    IReadOnlyList<SampledWindow> windows
)
{
    private readonly PassedContent[] passed = new PassedContent[windows.Count];

    /// <summary>One sum a window, in their order.</summary>
    public IReadOnlyList<PassedContent> Passed => passed;

    public void Add(Pack<SpreadReading> pack, DateTimeOffset recordedAt)
    {
        if (register.Calendar is not { } calendar)
            return;
        var decided = register.Decided(pack.EquipmentId, TelemetryStream.Spread, pack.Boot);
        // A decision may move a reading's time; where there is none a pack beside all windows is left at once.
        if (decided.IsEmpty && !windows.Any(window => pack.WithNeighbours().Any(reading => Holds(window, reading))))
            return;
        var sound = Doubtful.SoundTimes(recordedAt, calendar);
        var seq = pack.Before is null ? pack.FirstSeq : pack.FirstSeq - 1;
        SpreadReading? last = null;
        foreach (var reading in pack.WithNeighbours())
        {
            var current = decided[seq++].Read(reading, sound);
            if (last is { } a && current is { } b)
                Add(pack.EquipmentId, a, b);
            last = current;
        }
    }

    private void Add(string equipmentId, in SpreadReading a, in SpreadReading b)
    {
        var at = a.MeasuredAtMilliseconds;
        var inTime = false;
        foreach (var window in windows)
            inTime |= Holds(window, a);
        if (!inTime || register.SensorFor(equipmentId, at)?.SensorId != sensorId)
            return;
        var metered = MeterInterval.VolumeMillilitres(
            a.TotalMillilitres,
            b.TotalMillilitres,
            a.FlowMillilitresPerSecond,
            b.FlowMillilitresPerSecond,
            b.MeasuredAtMilliseconds - at,
            register.Applicator(equipmentId)?.MeterModulusMillilitres
        );
        if (metered is not { } volume)
            return;
        var content = Content(a);
        var more = new PassedContent(volume, (Int128)volume * (content ?? 0), content is null ? volume : 0);
        var pit = register.PitFeeding(equipmentId, at);
        for (var i = 0; i < passed.Length; i++)
            if (Holds(windows[i], a) && (windows[i].PitId is null || windows[i].PitId == pit))
                passed[i] = new(
                    passed[i].VolumeMillilitres + more.VolumeMillilitres,
                    passed[i].WeightedSum + more.WeightedSum,
                    passed[i].MillilitresWithout + more.MillilitresWithout
                );
    }

    private static bool Holds(SampledWindow window, in SpreadReading reading) =>
        reading.MeasuredAtMilliseconds >= window.FromMilliseconds
        && reading.MeasuredAtMilliseconds < window.UntilMilliseconds;

    private int? Content(in SpreadReading reading) =>
        analyte switch
        {
            Analyte.DryMatter => reading.DryMatterPartsPerMillion,
            Analyte.TotalNitrogen => reading.TotalNitrogenMilligramsPerLitre,
            Analyte.AmmoniumNitrogen => reading.AmmoniumNitrogenMilligramsPerLitre,
            Analyte.Phosphorus => reading.PhosphorusMilligramsPerLitre,
            Analyte.Potassium => reading.PotassiumMilligramsPerLitre,
            _ => throw new InvalidOperationException($"There is no column for {analyte}."),
        };
}
