using CsCheck;
using NutrientLedger.Agronomy.Factors;
using NutrientLedger.Agronomy.Factors.Conditions;
using NutrientLedger.Agronomy.Factors.Files;
using NutrientLedger.Agronomy.Nutrients;
using NutrientLedger.Agronomy.Units;
using NutrientLedger.Agronomy.Units.Chemistry;

namespace NutrientLedger.Tests.Agronomy.Nutrients;

public sealed class NitrogenAvailabilityTests
{
    private static readonly FactorSet[] NitrogenSets =
    [
        .. PublishedSets.All.Where(set => set.Scheme != Scheme.CropRemoval),
    ];

    private static readonly Gen<Circumstances> SomeCircumstances =
        from animal in AnyOf(Enum.GetValues<Animal>())
        from form in AnyOf(Enum.GetValues<ManureForm>())
        from treatment in AnyOf(Enum.GetValues<Treatment>())
        from dryMatter in Gen.Double[0.1, 90]
        from method in AnyOf(Enum.GetValues<ApplicationMethod>())
        from hours in Gen.OneOf(Gen.Double[0, 130], Gen.Const(Circumstances.Never))
        from cover in AnyOf(Enum.GetValues<GroundCover>())
        from weather in AnyOf(Enum.GetValues<WeatherClass>())
        from end in AnyOf(Enum.GetValues<RangeEnd>())
        select new Circumstances
        {
            Animal = animal,
            Form = form,
            Treatment = treatment,
            DryMatterPercent = dryMatter,
            Method = method,
            WorkedInAfterHours = hours,
            Cover = cover,
            Weather = weather,
            RangeEnd = end,
        };

    private static readonly Gen<NitrogenForms<Mass<Nitrogen>>> SomeNitrogen = Gen.Select(
        Gen.Double[0, 100],
        Gen.Double[0, 120],
        Gen.Double[0, 5],
        (total, ammonium, nitrate) => NitrogenAnalysis.OfTotal<Mass<Nitrogen>>(new(total), new(ammonium), new(nitrate))
    );

    [Fact]
    public void Available_nitrogen_never_exceeds_what_was_applied_in_any_set_over_all_years()
    {
        var answered = 0;
        Gen.Select(SomeCircumstances, SomeNitrogen, AnyOf(NitrogenSets))
            .Sample(
                (how, applied, set) =>
                {
                    var years = Enumerable
                        .Range(1, 4)
                        .Select(year => NitrogenAvailability.InYear(year, applied, how, set))
                        .Where(answer => answer.IsComplete)
                        .Select(answer => answer.Value.Amount.Kilograms)
                        .ToArray();
                    Interlocked.Add(ref answered, years.Length);
                    Assert.All(years, kilograms => Assert.True(kilograms >= 0));
                    Assert.True(years.Sum() <= applied.Applied.Kilograms * (1 + 1e-12));
                },
                iter: 5000
            );
        Assert.True(answered > 2000, $"Only {answered} years were answered; the check would prove little.");
    }

    [Fact]
    public void The_parts_add_up_to_the_whole() =>
        Gen.Select(SomeCircumstances, SomeNitrogen)
            .Sample(
                (how, applied) =>
                {
                    var liquid = how with { Form = ManureForm.Liquid, Method = ApplicationMethod.SweepInjection };
                    var available = NitrogenAvailability.InYear(1, applied, liquid, SomeManure.Alberta).Value;
                    var forms = available.Forms!;
                    Assert.Equal(
                        available.Amount.Kilograms,
                        (forms.FromAmmonium + forms.FromNitrate + forms.FromOrganic).Kilograms,
                        1e-9
                    );
                }
            );

    [Fact]
    public void The_unit_does_not_matter() =>
        Gen.Select(SomeNitrogen, Gen.Double[1, 100])
            .Sample(
                (kilograms, hectares) =>
                {
                    var area = Area.FromHectares(hectares);
                    var perHectare = NitrogenAnalysis.OfTotal(
                        kilograms.Total / area,
                        kilograms.Ammonium / area,
                        kilograms.Nitrate / area
                    );
                    var how = SomeManure.InjectedInACoolWetSpring;
                    var mass = NitrogenAvailability.InYear(1, kilograms, how, SomeManure.Alberta).Value.Amount;
                    var rate = NitrogenAvailability.InYear(1, perHectare, how, SomeManure.Alberta).Value.Amount;
                    Assert.Equal(mass.Kilograms, (rate * area).Kilograms, 1e-9);
                }
            );

    [Fact]
    public void Nitrate_counts_in_full_in_the_first_year_and_not_again()
    {
        var withNitrate = NitrogenAnalysis.OfKjeldahl<Mass<Nitrogen>>(new(38), new(19), new(2));
        var without = NitrogenAnalysis.OfKjeldahl<Mass<Nitrogen>>(new(38), new(19), new(0));
        double Kilograms(NitrogenForms<Mass<Nitrogen>> applied, int year) =>
            NitrogenAvailability
                .InYear(year, applied, SomeManure.InjectedInACoolWetSpring, SomeManure.Alberta)
                .Value.Amount.Kilograms;
        Assert.Equal(2, Kilograms(withNitrate, 1) - Kilograms(without, 1), 1e-12);
        Assert.Equal(Kilograms(without, 2), Kilograms(withNitrate, 2), 1e-12);
        Assert.Equal(40, withNitrate.Total.Kilograms);
    }

    [Fact]
    public void More_ammonium_than_nitrogen_is_flagged_and_gives_no_organic_nitrogen()
    {
        var impossible = NitrogenAnalysis.OfTotal<Mass<Nitrogen>>(new(10), new(11));
        Assert.True(impossible.MineralAboveTotal);
        Assert.Equal(0, impossible.Organic.Kilograms);
        Assert.Equal(10, impossible.Total.Kilograms);
        Assert.False(SomeManure.AlbertaLiquid.MineralAboveTotal);
        // All nitrogen may be ammonium (arithmetic).
        Assert.False(NitrogenAnalysis.OfTotal<Mass<Nitrogen>>(new(10), new(10)).MineralAboveTotal);
    }

    // Saskatchewan, "Economic Value of Liquid Hog Manure", table 1 (seen): 0.25, 0.12 and 0.06 of organic N, 0.43 over
    // three years; all mineral N counted; 75 % of the N of finishing hogs is mineral; P 0.50, 0.12, 0.06, together
    // 0.68.
    [Fact]
    public void Saskatchewan_adds_three_years_up_to_what_it_prints()
    {
        var how = new Circumstances { Animal = Animal.Swine, Form = ManureForm.Liquid };
        var forms = NitrogenAvailability.FormsOf(new Mass<Nitrogen>(100), how, SomeManure.Saskatchewan).Value;
        Assert.Equal((75, 25), (forms.Ammonium.Kilograms, forms.Organic.Kilograms));
        var years = Enumerable
            .Range(1, 3)
            .Select(year =>
                NitrogenAvailability.InYear(year, forms, how, SomeManure.Saskatchewan).Value.Amount.Kilograms
            )
            .ToArray();
        Assert.Equal(75 + 0.43 * 25, years.Sum(), 1e-9);
        var phosphorus = Enumerable
            .Range(1, 3)
            .Sum(year =>
                MineralAvailability
                    .OfPhosphorus(year, new Mass<Phosphorus>(1), how, SomeManure.Saskatchewan)
                    .Value.Kilograms
            );
        Assert.Equal(0.68, phosphorus, 1e-12);
    }

    // Cornell University, Whole Farm tutorials, nitrogen from manure, module 2, decay series (seen): dairy under 18 %
    // dry matter 0.35, 0.12, 0.05. Two and one seasons ago.
    [Fact]
    public void Former_seasons_still_give_nitrogen()
    {
        var dairy = new Circumstances { Animal = Animal.Dairy, DryMatterPercent = 8 };
        var applied = NitrogenAnalysis.OfTotal<Mass<Nitrogen>>(new(200), new(100));
        var carried = NitrogenAvailability.FromFormerSeasons(
            [new FormerApplication<Mass<Nitrogen>>(applied, dairy, 1), new(applied, dairy, 2)],
            SomeManure.NewYork
        );
        Assert.Equal(12, carried.Value.ByApplication[0].Kilograms, 1e-9);
        Assert.Equal(5, carried.Value.ByApplication[1].Kilograms, 1e-9);
        Assert.Equal(17, carried.Value.Amount.Kilograms, 1e-9);
    }

    private static Gen<T> AnyOf<T>(T[] all) => Gen.Int[0, all.Length - 1].Select(index => all[index]);
}
