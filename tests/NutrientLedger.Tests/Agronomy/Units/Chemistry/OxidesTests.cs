using NutrientLedger.Agronomy.Units.Chemistry;

namespace NutrientLedger.Tests.Agronomy.Units.Chemistry;

/// <summary>
/// Virginia Cooperative Extension, SPES-201NP, "Conversion Factors Needed for Common Fertilizer Calculations", table 1
/// (seen). The factors are taken as printed. The printed way back for potassium, 0.8301, is the inverse of 1.2046
/// rather than of the printed 1.2051 (0.8298); hence the wider tolerance there.
/// </summary>
public sealed class OxidesTests
{
    [Fact]
    public void Phosphorus_and_potassium_are_converted_as_published()
    {
        Assert.Equal(2.2910, Oxides.P2O5PerPhosphorus);
        Assert.Equal(1.2051, Oxides.K2OPerPotassium);
        Assert.Equal(0.4365, 1 / Oxides.P2O5PerPhosphorus, 0.00005);
        Assert.Equal(0.8301, 1 / Oxides.K2OPerPotassium, 0.0004);
    }

    // Standard atomic weights in g/mol, P 30.974, K 39.098, O 15.999: from memory. Tolerance 0.05 %.
    [Fact]
    public void The_published_factors_follow_from_the_molar_masses()
    {
        Assert.Equal((2 * 30.974 + 5 * 15.999) / (2 * 30.974), Oxides.P2O5PerPhosphorus, 0.0005 * 2.2910);
        Assert.Equal((2 * 39.098 + 15.999) / (2 * 39.098), Oxides.K2OPerPotassium, 0.0005 * 1.2051);
    }
}
