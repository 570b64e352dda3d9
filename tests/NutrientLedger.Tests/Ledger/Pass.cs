using NutrientLedger.Agronomy.Fields;
using NutrientLedger.Journal.Spreading;

namespace NutrientLedger.Tests.Ledger;

/// <summary>An applicator driving straight, one reading a second, meter and sensor running.</summary>
internal sealed record Pass(int Readings)
{
    public DateTimeOffset Start { get; init; } = Some.Morning;

    public GeoPoint From { get; init; } = new(Some.Corner.LatitudeE7 + 1_000, Some.Corner.LongitudeE7 + 10_000);

    /// <summary>About 2 m a second to the north.</summary>
    public int NorthE7 { get; init; } = 180;

    public int EastE7 { get; init; }

    public int FlowMillilitresPerSecond { get; init; } = 30_000;

    public long FirstTotal { get; init; } = 1_000_000;

    public long StepMilliseconds { get; init; } = 1_000;

    public Func<int, SpreadReading, SpreadReading> Change { get; init; } = (_, reading) => reading;

    public SpreadReading[] Drive() => [.. Enumerable.Range(0, Readings).Select(second => Change(second, At(second)))];

    private SpreadReading At(int step) =>
        new(
            Start.ToUnixTimeMilliseconds() + step * StepMilliseconds,
            From.LatitudeE7 + step * NorthE7,
            From.LongitudeE7 + step * EastE7,
            SpeedMillimetresPerSecond: 2_000,
            WidthMillimetres: 9_000,
            Engaged: true,
            FlowMillilitresPerSecond: FlowMillilitresPerSecond,
            TotalMillilitres: FirstTotal + step * (long)FlowMillilitresPerSecond,
            DryMatterPartsPerMillion: 60_000,
            TotalNitrogenMilligramsPerLitre: 4_000,
            AmmoniumNitrogenMilligramsPerLitre: 2_500,
            PhosphorusMilligramsPerLitre: 800,
            PotassiumMilligramsPerLitre: 2_900
        );
}
