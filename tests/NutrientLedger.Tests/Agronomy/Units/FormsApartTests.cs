using System.Reflection;
using NutrientLedger.Agronomy.Units;
using NutrientLedger.Agronomy.Units.Chemistry;

namespace NutrientLedger.Tests.Agronomy.Units;

/// <summary>Elemental and oxide forms convert only by name; no operator takes both.</summary>
public sealed class FormsApartTests
{
    private static readonly Type[] Measures =
    [
        typeof(Mass<>),
        typeof(NutrientRate<>),
        typeof(Concentration<>),
        typeof(FreshContent<>),
        typeof(DryContent<>),
    ];

    [Fact]
    public void No_operator_mixes_an_element_with_its_oxide()
    {
        foreach (var measure in Measures.Select(open => open.MakeGenericType(typeof(Phosphorus))))
        {
            var nutrients = measure
                .GetMethods(BindingFlags.Static | BindingFlags.Public)
                .Where(method => method.IsSpecialName)
                .SelectMany(method => method.GetParameters().Select(p => p.ParameterType).Append(method.ReturnType))
                .SelectMany(type => type.GetGenericArguments())
                .Distinct();
            Assert.All(nutrients, nutrient => Assert.Equal(typeof(Phosphorus), nutrient));
        }
    }

    [Fact]
    public void A_form_can_only_be_written_as_its_own_oxide()
    {
        var as_ = typeof(Mass<Phosphorus>).GetMethod("As")!;
        Assert.Equal(typeof(Mass<P2O5>), as_.MakeGenericMethod(typeof(P2O5)).ReturnType);
        Assert.Throws<ArgumentException>(() => as_.MakeGenericMethod(typeof(K2O)));
    }

    [Theory]
    [InlineData(0)]
    [InlineData(-0.1)]
    [InlineData(1.01)]
    [InlineData(double.NaN)]
    public void Dry_matter_is_a_share_of_the_fresh_mass(double fraction) =>
        Assert.Throws<ArgumentOutOfRangeException>(() => new DryMatter(fraction));
}
