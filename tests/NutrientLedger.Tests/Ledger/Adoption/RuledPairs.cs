using NutrientLedger.Journal;
using NutrientLedger.Journal.Sampling;
using NutrientLedger.Ledger.Adoption;
using NutrientLedger.Ledger.Sampling;

namespace NutrientLedger.Tests.Ledger.Adoption;

/// <summary>
/// Invented pairs near 0.8 × sensor + 600 mg/L, two a day, with a significant slope and no reading out of range, and a
/// rule that accepts ten of them.
/// </summary>
internal static class RuledPairs
{
    public static readonly AdoptionRuleSet Rule = new(Some.Sensor, Analyte.TotalNitrogen, true, 10, 300);

    public static string Id { get; } = AdoptionRuling.CalibrationId(Rule);

    public static AdoptionCondition[] Lacking(
        AdoptionRuleSet rule,
        SamplePair[] pairs,
        params IEnumerable<IJournalEvent> events
    ) => [.. Ruling(rule, pairs, [Some.Mounted(), .. events]).Lacking];

    public static AdoptionRuling Ruling(
        AdoptionRuleSet rule,
        SamplePair[] pairs,
        params IEnumerable<IJournalEvent> events
    ) => AdoptionRuling.Of(Some.Configuration([Some.Farm(), .. events]), rule, Check(pairs));

    /// <summary>The check of pairs, with hardly any of the readings to be corrected out of range.</summary>
    public static SensorCheck Check(SamplePair[] pairs, long millilitresOutside = 100) =>
        SensorCheck.Of(pairs, new(Some.Farm())) with
        {
            Readings = new(2_000, 5_000, 1_000, millilitresOutside),
        };

    public static SamplePair[] Pairs(int count) =>
        [
            .. Enumerable
                .Range(0, count)
                .Select(i => new SamplePair(
                    new(Report(i + 1), DayOf(i + 1), DayOf(i + 1) + 1, null),
                    (0.8 * Read(i)) + 600 + (i % 2 == 0 ? 20 : -20),
                    Read(i),
                    new(1_000, 1_000, 0)
                )),
        ];

    private static long DayOf(int number) => Taken(number).ToUnixTimeMilliseconds();

    private static DateTimeOffset Taken(int number) => Some.Morning.AddDays((number - 1) / 2 - 10);

    public static double Read(int i) => 2_000 + (300 * i);

    public static IJournalEvent[] Reported(int count) => [.. Enumerable.Range(1, count).Select(Report)];

    public static LabResultReported Report(int number) =>
        new(
            $"r-{number}",
            $"jar {number}",
            "Fen Street laboratory",
            Taken(number),
            Taken(number),
            null,
            Some.Sensor,
            "grab",
            new(2026, 5, 2),
            [],
            null,
            "Ada Ash"
        );

    public static CalibrationAdopted Persons() =>
        new(
            "n-1",
            Some.Sensor,
            Analyte.TotalNitrogen,
            1_100_000,
            0,
            Some.Morning.AddHours(-1),
            ValidTo: null,
            PitId: null,
            [],
            "Ada Ash",
            "Laboratory finds more"
        );

    public static CalibrationAdoptedByRule ByRule() =>
        new(
            Rule,
            Persons() with
            {
                CalibrationId = Id,
                SlopeMillionths = 800_000,
                ReportIds = ["r-1", "r-2"],
                By = "the farm's rule",
            }
        );
}
