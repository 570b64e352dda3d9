using NutrientLedger.Journal;
using NutrientLedger.Journal.Definitions;
using NutrientLedger.Journal.Sampling;
using NutrientLedger.Journal.Spreading;
using NutrientLedger.Journal.StoredEvents;
using NutrientLedger.Ledger.Configuration;
using NutrientLedger.Ledger.Lines;
using NutrientLedger.Ledger.Posting;

namespace NutrientLedger.Tests.Ledger.Seasons;

public class AnyCalibrationTests
{
    private const int ThousandthsPerMillionth = 1000;

    public static TheoryData<int> Seeds => [.. Enumerable.Range(1, 24)];

    [Theory]
    [MemberData(nameof(Seeds))]
    public void Lines_under_calibrations_are_exactly_the_calibrated_readings_posted_one_by_one(int seed)
    {
        var season = new InventedSeason(seed);
        var calibrations = SomeCalibrations.Of(season, seed);
        var plain = Some.Configuration(season.ConfigurationEvents);
        var configuration = Some.Configuration([.. season.ConfigurationEvents, .. calibrations]);
        var events = Arrivals.Shuffled(season, seed).OfType<SpreadingMeasured>().ToArray();

        var lines = Some.Posted(plain, events).Lines;
        var calibrated = Some.Posted(
            plain,
            events.Select(@event => SomeCalibrations.InThousandths(@event, calibrations, plain))
        ).Lines;

        Assert.Equal(lines.Keys.ToHashSet(), calibrated.Keys.ToHashSet());
        foreach (var (key, line) in lines)
        {
            var corrected = CalibratedSums.Of(configuration, key, line);
            var one = calibrated[key];
            Assert.Equal(one.DryMatter.WeightedSum * ThousandthsPerMillionth, corrected.DryMatter);
            Assert.Equal(one.TotalNitrogen.WeightedSum * ThousandthsPerMillionth, corrected.TotalNitrogen);
            Assert.Equal(one.AmmoniumNitrogen.WeightedSum * ThousandthsPerMillionth, corrected.AmmoniumNitrogen);
            Assert.Equal(one.Phosphorus.WeightedSum * ThousandthsPerMillionth, corrected.Phosphorus);
            Assert.Equal(one.Potassium.WeightedSum * ThousandthsPerMillionth, corrected.Potassium);
        }
        // In a few seasons every content came from the pump. There it is not placed, so not calibrated either.
        Assert.Equal(
            lines.Values.Any(line => line.TotalNitrogen.MillilitresWithout < line.VolumeMillilitres),
            lines.Any(line => CalibratedSums.Of(configuration, line.Key, line.Value).IsCalibrated)
        );
    }

    [Theory]
    [MemberData(nameof(Seeds))]
    public void Adopted_and_withdrawn_is_as_if_never_adopted(int seed)
    {
        var season = new InventedSeason(seed);
        var calibrations = SomeCalibrations.Of(season, seed);
        var withdrawn = calibrations
            .OfType<CalibrationAdopted>()
            .Select(x => new CalibrationWithdrawn(x.CalibrationId, "Ada Ash", "No"));

        Assert.Equal(
            Evaluated(season, season.ConfigurationEvents),
            Evaluated(season, [.. season.ConfigurationEvents, .. calibrations, .. withdrawn])
        );
    }

    [Theory]
    [MemberData(nameof(Seeds))]
    public void Corrected_before_the_readings_is_corrected_after_them(int seed)
    {
        var season = new InventedSeason(seed);
        var calibrations = SomeCalibrations.Of(season, seed);
        var configuration = Some.Configuration([.. season.ConfigurationEvents, .. calibrations]);
        var events = Arrivals.Shuffled(season, seed);

        Assert.DoesNotContain(calibrations, it => EventTypes.Of(it).Changes == EventChanges.Rebuild);
        Assert.Equal(
            Evaluated(configuration, Some.Posted(Some.Configuration(season.ConfigurationEvents), events)),
            Evaluated(configuration, Some.Posted(configuration, events))
        );
    }

    [Theory]
    [MemberData(nameof(Seeds))]
    public void Corrected_twice_is_corrected_once_with_the_last(int seed)
    {
        var season = new InventedSeason(seed);
        CalibrationAdopted[] first = [.. SomeCalibrations.Of(season, seed).OfType<CalibrationAdopted>()];
        CalibrationAdopted[] last =
        [
            .. first.Select(x => x with { CalibrationId = $"{x.CalibrationId}-again", SlopeMillionths = 1_250_000 }),
        ];

        Assert.Equal(
            Evaluated(season, [.. season.ConfigurationEvents, .. last]),
            Evaluated(season, [.. season.ConfigurationEvents, .. first, .. last])
        );
    }

    private static Dictionary<LineKey, CalibratedSums> Evaluated(
        InventedSeason season,
        IEnumerable<IJournalEvent> events
    )
    {
        var configuration = Some.Configuration(events);
        return Evaluated(configuration, Some.Posted(configuration, Arrivals.InOrder(season)));
    }

    private static Dictionary<LineKey, CalibratedSums> Evaluated(
        FarmConfiguration configuration,
        LedgerAddition accumulator
    ) =>
        accumulator.Lines.ToDictionary(
            line => line.Key,
            line => CalibratedSums.Of(configuration, line.Key, line.Value)
        );
}
