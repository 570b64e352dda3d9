using NutrientLedger.Agronomy.Fields;
using NutrientLedger.Agronomy.Written;
using NutrientLedger.Journal.Fields;
using NutrientLedger.Office.Import.Written;

namespace NutrientLedger.Office.Import;

/// <summary>Reads the part of a farm file that describes the farm itself.</summary>
internal static class FarmSection
{
    // A cell far from a metre would make covered ground either coarse or slow to count (common practice, no source).
    private const int LeastStepE7 = 20;
    private const int MostStepE7 = 1000;

    public static (string Id, FarmRegistered Farm) Read(WrittenObject farm)
    {
        var id = farm.Id("id");
        var name = farm.Text("name");
        var zone = farm.TimeZone("timeZone");
        var (month, day) = farm.DayOfYear("seasonBegins");
        var ledgerBegins = farm.Day("ledgerBegins");
        var lattice = farm.Optional("coverageStep") is null ? default : Lattice(farm);
        farm.NothingElse();
        return (id, new(name, zone, month, day, ledgerBegins, lattice));
    }

    private static CoverageLattice Lattice(WrittenObject farm)
    {
        if (farm.Nested("coverageStep", "coverageStep") is not { } step)
            return default;
        var lattice = new CoverageLattice(Even(step, "latitudeE7"), Even(step, "longitudeE7"));
        step.NothingElse();
        return lattice;
    }

    private static int Even(WrittenObject step, string property)
    {
        var size = step.Whole(property, LeastStepE7, MostStepE7);
        if (size % 2 != 0)
            step.Problem(property, $"\"{property}\" must be even, so that the middle of a cell is a whole number too.");
        return size;
    }
}
