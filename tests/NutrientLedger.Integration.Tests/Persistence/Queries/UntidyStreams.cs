using NutrientLedger.Integration.Tests.Farms;
using NutrientLedger.Journal;
using NutrientLedger.Journal.Readings;
using NutrientLedger.Journal.Spreading;
using NutrientLedger.Journal.Storage;
using NutrientLedger.Journal.Weather;
using NutrientLedger.Persistence.Messages;

namespace NutrientLedger.Integration.Tests.Persistence.Queries;

/// <summary>A month of messages with wrong clocks, long ways and impossible times, and what a person decided.</summary>
internal static class UntidyStreams
{
    /// <summary>Messages of each stream.</summary>
    public const int Batches = 300;

    /// <summary>When the month begins, in ms since 1970.</summary>
    public static readonly long Start = Some.Morning.ToUnixTimeMilliseconds();

    // The clock of boot 2 was five days behind, that of boot 3 a year ahead.
    private static readonly TimeSpan[] Shifts = [TimeSpan.Zero, TimeSpan.FromDays(5), TimeSpan.FromDays(-365)];

    /// <summary>A person shifted two boots of the gauge, and judged some single readings.</summary>
    public static IReadOnlyList<IJournalEvent> Decisions()
    {
        QuestionableTimeDecided Decided(long boot, long first, long last, TimeDecision decision, TimeSpan shift) =>
            new(
                Some.Gauge,
                TelemetryStream.Store,
                boot,
                first,
                last,
                decision,
                (long)shift.TotalMilliseconds,
                "clock",
                "Ada Ash"
            );
        return
        [
            Decided(2, 1, long.MaxValue, TimeDecision.Shifted, Shifts[1]),
            Decided(3, 1, long.MaxValue, TimeDecision.Shifted, Shifts[2]),
            Decided(2, 100, 200, TimeDecision.LeftOut, default),
            Decided(1, 50, 400, TimeDecision.AsMeasured, default),
        ];
    }

    /// <summary>
    /// Messages of a gauge, an applicator and a rain gauge over a month, every tenth of them weeks late. One in twenty
    /// has a time of the far future or past.
    /// </summary>
    public static IEnumerable<(DateTimeOffset RecordedAt, DecodedMessage Message)> Messages(Random random)
    {
        foreach (var stream in Enum.GetValues<TelemetryStream>())
        {
            var next = new long[] { 1, 1, 1 };
            for (var i = 0; i < Batches; i++)
            {
                var boot = random.Next(3);
                var first = next[boot];
                var length = random.Next(1, 20);
                // A gap keeps batches apart, so that none is joined to its neighbour.
                next[boot] += length + random.Next(2);
                var measured = Start + (Days(30) * i / Batches) - (long)Shifts[boot].TotalMilliseconds;
                if (random.Next(20) == 0)
                    measured += Days(random.Next(-400, 400));
                var recorded = DateTimeOffset.FromUnixTimeMilliseconds(Start + (Days(30) * i / Batches)).AddHours(1);
                if (random.Next(10) == 0)
                    recorded = recorded.AddDays(random.Next(1, 30));
                var times = Enumerable.Range(0, length).Select(at => measured + (at * 60_000L)).ToArray();
                yield return (
                    recorded,
                    new(Some.Farm, Event(stream, boot + 1, first, times, random), $"test/{stream}", default)
                );
            }
        }
    }

    private static IJournalEvent Event(TelemetryStream stream, long boot, long first, long[] times, Random random) =>
        stream switch
        {
            TelemetryStream.Spread => new SpreadingMeasured(
                new(
                    Some.Applicator,
                    boot,
                    first,
                    [
                        .. times.Select(
                            (at, i) =>
                                Some.Reading(first + i) with
                                {
                                    MeasuredAtMilliseconds = at,
                                    TotalNitrogenMilligramsPerLitre = random.Next(30) == 0 ? 40_000 : 4_000,
                                }
                        ),
                    ]
                )
            ),
            TelemetryStream.Store => new StorageLevelMeasured(
                new(
                    Some.Gauge,
                    boot,
                    first,
                    [.. times.Select(at => new LevelReading(at, random.Next(30) == 0 ? 9_000 : 3_000, 12_000))]
                )
            ),
            _ => new WeatherMeasured(
                new(
                    "station",
                    boot,
                    first,
                    [.. times.Select((at, i) => new WeatherReading(at, RainTotalMicrometres: (first + i) * 100))]
                )
            ),
        };

    public static long Days(int days) => days * 86_400_000L;
}
