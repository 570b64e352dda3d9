using NutrientLedger.Agronomy.Fields;
using NutrientLedger.Journal.Fields;
using NutrientLedger.Json;

namespace NutrientLedger.Web.Import.Farms;

/// <summary>Reads the section of a farm file about the farm itself.</summary>
internal static class FarmSection
{
    // Cells much larger than a metre make coverage coarse, much smaller ones slow (common practice, no source).
    private const int StepE7Min = 20;
    private const int StepE7Max = 1000;

    public static (string Id, FarmRegistered Farm) Read(JsonObjectReader farm)
    {
        var id = farm.Id("id");
        var name = farm.Text("name");
        var zone = farm.TimeZone("timeZone");
        var (month, day) = farm.DayOfYear("seasonBegins");
        var ledgerBegins = farm.Day("ledgerBegins");
        var grid = farm.Optional("coverageStep") is null ? default : Grid(farm);
        farm.RejectUnknownMembers();
        return (id, new(name, zone, month, day, ledgerBegins, grid));
    }

    private static CoverageGrid Grid(JsonObjectReader farm)
    {
        if (farm.Nested("coverageStep", "coverageStep") is not { } step)
            return default;
        var grid = new CoverageGrid(Even(step, "latitudeE7"), Even(step, "longitudeE7"));
        step.RejectUnknownMembers();
        return grid;
    }

    private static int Even(JsonObjectReader step, string property)
    {
        var size = step.Whole(property, StepE7Min, StepE7Max);
        if (size % 2 != 0)
            step.AddProblem(property, $"\"{property}\" must be even.");
        return size;
    }
}
