using System.Collections.Immutable;
using System.Globalization;
using System.Text;
using NutrientLedger.Agronomy.Fields;
using NutrientLedger.Journal;
using NutrientLedger.Journal.Fields;
using NutrientLedger.Journal.Spreading;

namespace NutrientLedger.Benchmarks;

/// <summary>An invented farm of twenty fields side by side, each worked by its own applicator.</summary>
internal static class BenchFarm
{
    public const string Id = "bench-farm";
    private const int Applicators = 20;
    private const int SouthE7 = 430_000_000;
    private const int WestE7 = -915_000_000;
    private const int FieldE7 = 200_000;
    private const int PassE7 = 40_000;
    private const int StepE7PerSecond = 200; // About 2.2 m/s.
    private const int PassWidthE7 = 1480; // 12 m at this latitude.

    private static readonly DateTimeOffset From = new(2026, 1, 1, 6, 0, 0, TimeSpan.Zero);
    private static readonly long KeptFromMs = new DateTimeOffset(
        2026,
        6,
        1,
        12,
        0,
        0,
        TimeSpan.Zero
    ).ToUnixTimeMilliseconds();

    public static string Applicator(int applicator) => $"spreader-{applicator}";

    public static int ApplicatorOf(string applicatorId) =>
        int.Parse(applicatorId.AsSpan(applicatorId.LastIndexOf('-') + 1), CultureInfo.InvariantCulture);

    public static string Topic(int applicator) => $"agri/v1/{Id}/{Applicator(applicator)}/spread";

    public static IReadOnlyList<IJournalEvent> ConfigurationEvents(int applicators = Applicators)
    {
        var day = new DateOnly(2026, 1, 1);
        List<IJournalEvent> events =
        [
            new FarmRegistered("Bench farm", "America/Chicago", 10, 1, day, CoverageGrid.At(SouthE7)),
        ];
        for (var applicator = 0; applicator < applicators; applicator++)
        {
            events.Add(
                new FieldRegistered($"field-{applicator}", $"Field {applicator}", Boundary(applicator, SouthE7), day)
            );
            events.Add(
                new ApplicatorRegistered(
                    Applicator(applicator),
                    Applicator(applicator),
                    ApplicatorKind.DragLine,
                    12_000,
                    MeterCounts.Spreading,
                    null
                )
            );
            events.Add(
                new SensorMounted(
                    $"nir-{applicator}",
                    Applicator(applicator),
                    SensorPlace.OnApplicator,
                    Applicator(applicator),
                    From
                )
            );
        }
        return events;
    }

    /// <summary>
    /// A new boundary for an applicator's field: without its southernmost part, up to nineteen times about 20 m deep.
    /// </summary>
    public static BoundaryRedrawn Redrawn(int applicator, int parts) =>
        new(
            $"field-{applicator}",
            Boundary(applicator, SouthE7 + 10_000 + (parts % 20 * 2_000)),
            new(2026, 1, 1),
            "measured again"
        );

    /// <summary>
    /// The readings of an applicator, one a second since an afternoon in June, as decoded from a message.
    /// </summary>
    public static SpreadReading Reading(int applicator, long seq)
    {
        var (latitude, longitude) = Place(applicator, seq * StepE7PerSecond);
        return new(
            KeptFromMs + (seq * 1000),
            latitude,
            longitude,
            Engaged: true,
            FlowMillilitresPerSecond: 31_000 + (int)(seq % 7 * 100),
            TotalMillilitres: seq * 31_000,
            DryMatterPartsPerMillion: 60_000 + (int)(seq % 31 * 100),
            TotalNitrogenMilligramsPerLitre: 4_100 + (int)(seq % 23 * 10),
            AmmoniumNitrogenMilligramsPerLitre: 2_100 + (int)(seq % 17 * 10),
            PhosphorusMilligramsPerLitre: 800,
            PotassiumMilligramsPerLitre: 3_200
        );
    }

    /// <summary>
    /// A message that an applicator has kept since an afternoon in June, with so many readings of this boot before it.
    /// </summary>
    public static byte[] Kept(int applicator, long boot, long before, int readings, int stepMs) =>
        Message(applicator, boot, 1 + before, readings, KeptFromMs + (before * stepMs), stepMs);

    /// <summary>
    /// A message of consecutive readings, the first of which is number <paramref name="seq"/>, at even steps of time.
    /// </summary>
    public static byte[] Message(int applicator, long boot, long seq, int readings, long firstMs, int stepMs)
    {
        var text = new StringBuilder();
        text.Append(
            CultureInfo.InvariantCulture,
            $$"""[{"bt":{{firstMs / 1000m}},"n":"boot","v":{{boot}}},{"n":"seq","v":{{seq}}}"""
        );
        for (var i = 0; i < readings; i++)
        {
            var (latitude, longitude) = Place(applicator, (seq + i) * stepMs * StepE7PerSecond / 1000);
            text.Append(
                CultureInfo.InvariantCulture,
                $$"""
                ,{"n":"lat","u":"lat","v":{{latitude / 1e7m}},"t":{{i
                    * stepMs
                    / 1000m}}},{"n":"lon","u":"lon","v":{{longitude / 1e7m}},"t":{{i
                    * stepMs
                    / 1000m}}},{"n":"engaged","vb":true,"t":{{i * stepMs / 1000m}}},{"n":"flow","u":"m3/s","v":0.0{{310
                    + (seq % 7)}},"t":{{i * stepMs / 1000m}}},{"n":"total","u":"m3","v":{{(seq + i) * 0.031m}},"t":{{i
                    * stepMs
                    / 1000m}}},{"n":"dm","u":"/","v":0.0{{600 + (seq % 31)}},"t":{{i
                    * stepMs
                    / 1000m}}},{"n":"tn","u":"kg/m3","v":4.{{10 + (seq % 23)}},"t":{{i
                    * stepMs
                    / 1000m}}},{"n":"nh4n","u":"kg/m3","v":2.{{10 + (seq % 17)}},"t":{{i
                    * stepMs
                    / 1000m}}},{"n":"p","u":"kg/m3","v":0.8,"t":{{i
                    * stepMs
                    / 1000m}}},{"n":"k","u":"kg/m3","v":3.2,"t":{{i * stepMs / 1000m}}}
                """
            );
        }
        return Encoding.UTF8.GetBytes(text.Append(']').ToString());
    }

    private static Boundary Boundary(int applicator, int southE7)
    {
        var west = WestE7 + (applicator * FieldE7);
        ImmutableArray<GeoPoint> corners =
        [
            new(southE7, west),
            new(southE7, west + FieldE7),
            new(SouthE7 + FieldE7, west + FieldE7),
            new(SouthE7 + FieldE7, west),
        ];
        return new([new(new(corners), [])]);
    }

    /// <summary>Up and down the field in passes, at this distance from the applicator's start.</summary>
    private static (int LatitudeE7, int LongitudeE7) Place(int applicator, long travelledE7)
    {
        var pass = (int)(travelledE7 / PassE7 % 120);
        var along = (int)(travelledE7 % PassE7);
        var up = pass % 2 == 0 ? along : PassE7 - along;
        return (SouthE7 + 10_000 + up, WestE7 + (applicator * FieldE7) + 10_000 + (pass * PassWidthE7));
    }
}
