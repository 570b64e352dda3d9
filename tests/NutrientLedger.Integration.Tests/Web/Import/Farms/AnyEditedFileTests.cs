using System.Collections.Immutable;
using NutrientLedger.Agronomy.Fields;
using NutrientLedger.Agronomy.Storage.Shapes;
using NutrientLedger.Journal;
using NutrientLedger.Journal.Definitions;
using NutrientLedger.Journal.Fields;
using NutrientLedger.Journal.Readings;
using NutrientLedger.Journal.Sampling;
using NutrientLedger.Journal.Spreading;
using NutrientLedger.Journal.Storage;
using NutrientLedger.Journal.StoredEvents;
using NutrientLedger.Json;
using NutrientLedger.Ledger.Configuration;
using NutrientLedger.Tests.Ledger.Configuration;
using NutrientLedger.Web.Import.Farms;

namespace NutrientLedger.Integration.Tests.Web.Import.Farms;

/// <summary>
/// A farm file of which entries of every section are added, changed, left out and written again, and which is imported
/// after each edit, with and without taking back what it no longer has.
/// </summary>
public class AnyEditedFileTests
{
    private static readonly FarmRegistered Farm = new(
        "Three Elms",
        "America/Chicago",
        10,
        1,
        new(2025, 10, 1),
        new(90, 122)
    );

    private static readonly DateTimeOffset Start = new(2026, 4, 1, 0, 0, 0, TimeSpan.FromHours(-5));

    public static TheoryData<int> Seeds => [.. Enumerable.Range(1, 40)];

    [Theory]
    [MemberData(nameof(Seeds))]
    public void After_any_imports_the_farm_is_a_fresh_one_with_what_the_files_left(int seed)
    {
        var random = new Random(seed);
        var (farm, expected) = (FarmConfiguration.Empty, new EditedFarm(Farm));
        var kinds = new HashSet<Type>();
        for (var import = 0; import < 25; import++)
        {
            var file = File(random);
            var withdraws = import == 24 || random.Next(3) == 0;
            farm = Import(farm, file, withdraws, kinds);
            expected.Import(file, withdraws);

            Assert.Equal(Answers(expected.Fresh()), Answers(farm));
            Assert.True(!withdraws || MissingEntries.Of(file, farm).Count == 0, "Something missing was kept.");
            Assert.Same(farm, Import(farm, file, withdraws, kinds));
        }
        Assert.Superset(new HashSet<Type> { typeof(BoundaryRedrawn), typeof(SensorMounted) }, kinds);
    }

    [Fact]
    public void Entries_of_every_kind_were_taken_back()
    {
        var kinds = new HashSet<Type>();
        foreach (var seed in Enumerable.Range(1, 20))
        {
            var (random, farm) = (new Random(seed), FarmConfiguration.Empty);
            for (var import = 0; import < 10; import++)
                farm = Import(farm, File(random), withdraws: true, kinds);
        }

        Assert.Equal(
            EventTypes
                .All.Where(type => type.Source.Route == EventRoute.FarmFile)
                .Select(type => type.Type.Name)
                .Except([nameof(FarmRegistered)])
                .Order(),
            kinds.Select(kind => kind.Name).Order()
        );
    }

    private static FarmConfiguration Import(
        FarmConfiguration farm,
        FarmFileContent file,
        bool withdraws,
        HashSet<Type> kinds
    )
    {
        var (farmProblems, fieldProblems) = (new FileProblems("farm.json"), new FileProblems("fields.geojson"));
        var edit = new FarmEdit(file, farm, withdraws ? new("A slip", "Ada Ash") : null);
        if (withdraws)
            kinds.UnionWith(edit.Missing.Select(entry => entry.GetType()));
        edit.Compare(farmProblems, fieldProblems);
        Assert.Empty(farmProblems.ByLine);
        Assert.Empty(fieldProblems.ByLine);
        IJournalEvent[] events = [.. edit.Events, .. edit.Withdrawals];
        return events.Aggregate(farm, (so, @event) => so.With(@event));
    }

    private static string[] Answers(FarmConfiguration configuration) =>
        ConfigurationAnswers.Of(configuration, Start, Start.AddDays(1), Start.AddDays(2));

    private static FarmFileContent File(Random random)
    {
        var others = new Dictionary<object, IJournalEvent>();
        for (var entry = random.Next(30); entry > 0; entry--)
            if (Entry(random) is var written)
                others[EventTypes.Of(written).KeyOf(written)!.Value] = written;
        if (random.Next(3) > 0)
            others["availability"] = new AvailabilitySetChosen(
                Pick(random, "minnesota", "alberta-2007"),
                random.Next(2025, 2028),
                ImmutableSortedDictionary<string, string>.Empty
            );
        FieldFeature[] fields =
        [
            .. new[] { "west", "east", "north" }
                .Where(_ => random.Next(4) > 0)
                .Select(id => new FieldFeature(
                    1,
                    new(id, $"The {id} field{random.Next(2)}", Square(random.Next(3)), Day(random)),
                    "Drawn again"
                )),
        ];
        return new("farm", 1, Farm, fields, [.. others.Values]);
    }

    // Each sensor has moments of its own, so that no two are mounted in one place at the same moment.
    private static IJournalEvent Entry(Random random) =>
        random.Next(10) switch
        {
            0 when random.Next(1, 4) is var sensor => new SensorMounted(
                $"nir-{sensor}",
                Pick(random, "bar", "wagon"),
                Pick(random, SensorPlace.OnApplicator, SensorPlace.AtPump),
                Pick(random, "bar", "wagon"),
                Moment(random).AddMinutes(sensor)
            ),
            1 => new SensorMounted("radar", "level-1", SensorPlace.InPit, Pick(random, "a", "b"), Moment(random)),
            2 => new SourceChanged(Pick(random, "bar", "wagon"), Pick(random, "a", "b"), Moment(random)),
            3 => new SpreadingMethodRecorded(
                "bar",
                Pick(random, null, "west"),
                Pick(random, SpreadingMethod.Broadcast, SpreadingMethod.TrailingHose),
                null,
                Moment(random)
            ),
            4 => new NutrientPlanSet(
                Pick(random, "west", "east"),
                random.Next(2026, 2028),
                NitrogenBasis.Total,
                random.Next(3),
                null,
                null,
                "maize"
            ),
            5 => new ReadingLimitsSet(
                Pick(random, null, "bar"),
                Moment(random),
                [new(LimitedQuantity.Speed, random.Next(3), null, "invented")]
            ),
            6 => new DefaultDeviationsSet(
                Pick(random, null, "a"),
                Day(random),
                [new(PitMeasurement.Rain, random.Next(3), "invented")]
            ),
            7 => new AdoptionRuleSet(
                "nir-1",
                Pick(random, Analyte.Potassium, Analyte.Phosphorus),
                true,
                10,
                random.Next(3)
            ),
            8 => new NoSpreadZoneRegistered(
                Pick(random, "well", "ditch"),
                "Zone",
                Square(random.Next(3)),
                Day(random),
                null,
                "Water"
            ),
            _ when random.Next(2) == 0 => new PitRegistered(
                Pick(random, "a", "b"),
                "Pit",
                new RoundTank(9_000 + random.Next(3), 4_000),
                3_000
            ),
            _ => new ApplicatorRegistered(
                Pick(random, "bar", "wagon"),
                "Machine",
                ApplicatorKind.DragLine,
                9_000 + random.Next(3),
                MeterCounts.Spreading,
                null
            ),
        };

    private static DateTimeOffset Moment(Random random) => Start.AddDays(random.Next(3));

    private static DateOnly Day(Random random) => new(2026, 4, random.Next(1, 4));

    private static Boundary Square(int place)
    {
        var (south, west) = (420_000_000 + 30_000 * place, -935_000_000);
        return new([new(new([new(south, west), new(south, west + 20_000), new(south + 20_000, west + 20_000)]), [])]);
    }

    private static T Pick<T>(Random random, params T[] choices) => choices[random.Next(choices.Length)];
}
