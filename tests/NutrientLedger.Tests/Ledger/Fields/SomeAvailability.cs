using System.Collections.Immutable;
using NutrientLedger.Journal;
using NutrientLedger.Journal.Fields;
using NutrientLedger.Journal.Spreading;
using NutrientLedger.Ledger.Fields;

namespace NutrientLedger.Tests.Ledger.Fields;

/// <summary>Choices of a set, methods and manures of published examples on the invented farm.</summary>
internal static class SomeAvailability
{
    private const double Litres = 300;

    public static ImmutableArray<IJournalEvent> Alberta(string form) =>
        [Set("alberta-2007", 2026, ("form", form), ("treatment", "fresh"), ("weather", "cool-wet"))];

    public static AvailabilitySetChosen Set(string id, int from, params (string Name, string Word)[] circumstances) =>
        new(id, from, circumstances.ToImmutableSortedDictionary(pair => pair.Name, pair => pair.Word));

    public static IJournalEvent[] Method(SpreadingMethod method, int? workedInAfter = null) =>
        [new SpreadingMethodRecorded(Some.DragLine, null, method, workedInAfter, Some.Morning.AddDays(-1))];

    public static SpreadReading Liquid(int _, SpreadReading reading) => Holding(reading, 3_800, 1_900, 1_000, 4_300);

    public static SpreadReading Solid(int _, SpreadReading reading) => Holding(reading, 8_300, 2_000, 2_300, 6_900);

    private static SpreadReading Holding(SpreadReading reading, int nitrogen, int ammonium, int p, int k) =>
        reading with
        {
            TotalNitrogenMilligramsPerLitre = nitrogen,
            AmmoniumNitrogenMilligramsPerLitre = ammonium,
            PhosphorusMilligramsPerLitre = p,
            PotassiumMilligramsPerLitre = k,
        };

    public static double PerLitre(AvailableAmount amount) => amount.Kilograms!.Value * 1000 / Litres;

    /// <summary>The one missing coefficient that leaves an amount unavailable.</summary>
    public static NoCoefficient NoCoefficientOf(AvailableAmount amount) =>
        Assert.IsType<NoCoefficient>(Assert.Single(amount.Unavailable!.Reasons));

    /// <summary>300 L on the western field in the first hour, then all other given batches.</summary>
    public static FieldAvailability Of(
        IEnumerable<IJournalEvent> chosen,
        IEnumerable<IJournalEvent> methods,
        Func<int, SpreadReading, SpreadReading> manure,
        params IEnumerable<IJournalEvent> more
    )
    {
        var configuration = Some.Configuration([.. Some.ConfigurationEvents(), .. methods, .. chosen]);
        var accumulator = Some.Posted(configuration, [Some.Batch(new Pass(11) { Change = manure }.Drive()), .. more]);
        return FieldBalance.Of(configuration, accumulator.Lines, [], Some.West, 2026).Availability!;
    }
}
