using NutrientLedger.Agronomy.Spreading;
using NutrientLedger.Agronomy.Units;

namespace NutrientLedger.Tests.Agronomy.Spreading;

public sealed class HoseTests
{
    // Two web calculators of the volume of a pipe (cal12.calculator.city, easyunitconverter.com, seen): 2 in inside
    // diameter, 100 ft: 16.32 gal, 61.78 L; tolerance 0.01 gal.
    [Fact]
    public void P21_a_two_inch_hose_of_a_hundred_feet_holds_the_printed_volume()
    {
        var hose = Hose(2, 100).Volume;
        Assert.Equal(16.32, hose.UsGallons, 0.01);
        Assert.Equal(61.78, hose.Litres, 0.01 * 3.785);
    }

    // Gallons per foot: 0.0408·d² and 1.469 for 6 in are printed (the same pages, seen); the others are derived.
    // Tolerance half a unit of the last digit, 0.001 for the printed one.
    [Theory]
    [InlineData(3, 0.3672)]
    [InlineData(4, 0.6528)]
    [InlineData(4.5, 0.8262)]
    [InlineData(5, 1.0200)]
    [InlineData(6, 1.4688)]
    [InlineData(7, 1.9992)]
    [InlineData(8, 2.6112)]
    [InlineData(10, 4.0800)]
    public void A_foot_of_hose_holds_the_tables_gallons(double inches, double gallons)
    {
        Assert.Equal(gallons, Hose(inches, 1).Volume.UsGallons, 0.00005);
        if (inches == 6)
            Assert.Equal(1.469, Hose(inches, 1).Volume.UsGallons, 0.001);
    }

    // A mile of 6 in hose: 7,755 gal, 5.2 min at 1,500 gal/min (derived); tolerance 1 gal, 0.05 min.
    [Fact]
    public void A_mile_of_six_inch_hose_delays_by_five_minutes()
    {
        var hose = Hose(6, 5_280);
        Assert.Equal(7_755, hose.Volume.UsGallons, 1.0);
        Assert.Equal(5.2, hose.LagSeconds(Volume.FromUsGallons(1_500).CubicMetres / 60) / 60, 0.05);
        Assert.Equal(hose.Volume.Litres * 1000, hose.Millilitres, 0.5);
    }

    [Theory]
    [InlineData(0)]
    [InlineData(-1)]
    [InlineData(double.NaN)]
    public void Nothing_arrives_without_flow(double flow) =>
        Assert.Throws<ArgumentOutOfRangeException>(() => Hose(6, 100).LagSeconds(flow));

    private static Hose Hose(double inches, double feet) =>
        new(inches / 12 * Definitions.MetresPerFoot, feet * Definitions.MetresPerFoot);
}
