using NutrientLedger.Agronomy.Storage;
using NutrientLedger.Agronomy.Written;
using NutrientLedger.Journal.Spreading;
using NutrientLedger.Journal.Storage;
using NutrientLedger.Office.Import.Written;

namespace NutrientLedger.Office.Import;

/// <summary>Reads pits and applicators; the ranges keep out slips of the pen (common practice, no source).</summary>
internal static class EquipmentSections
{
    public static PitRegistered Pit(WrittenObject pit, ISet<string> ids)
    {
        var id = pit.NewId(ids);
        var name = pit.Text("name");
        var shape = pit.Nested("shape", $"{pit.What}, shape") is { } given ? Shape(given) : new RoundTank(0, 0);
        var full = pit.Millimetres("fullDepthMetres", 0.1m, 30);
        if (full > shape.DepthMillimetres && shape.DepthMillimetres > 0)
            pit.Problem("fullDepthMetres", "\"fullDepthMetres\" is more than the depth of the shape.");
        pit.NothingElse();
        return new(id, name, shape, full);
    }

    public static ApplicatorRegistered Applicator(WrittenObject applicator, ISet<string> ids)
    {
        var read = new ApplicatorRegistered(
            applicator.NewId(ids),
            applicator.Text("name"),
            applicator.Choice("kind", ("dragLine", ApplicatorKind.DragLine), ("tankWagon", ApplicatorKind.TankWagon)),
            applicator.Millimetres("workingWidthMetres", 0.5m, 60),
            applicator.Choice("meterCounts", ("spreading", MeterCounts.Spreading), ("filling", MeterCounts.Filling)),
            applicator.OptionalMillilitres("meterStartsAgainAtCubicMetres", 1, 1_000_000_000)
        );
        applicator.NothingElse();
        return read;
    }

    private static PitShape Shape(WrittenObject shape)
    {
        var basin = shape.Choice("kind", ("rectangularBasin", 1), ("roundTank", 2));
        PitShape read = basin switch
        {
            1 => new RectangularBasin(
                shape.Millimetres("floorLengthMetres", 1, 1000),
                shape.Millimetres("floorWidthMetres", 1, 1000),
                shape.Thousandths("slopeRunPerRise", 0, 10),
                shape.Millimetres("depthMetres", 0.5m, 30)
            ),
            2 => new RoundTank(shape.Millimetres("diameterMetres", 1, 200), shape.Millimetres("depthMetres", 0.5m, 30)),
            _ => new RoundTank(0, 0),
        };
        if (basin != 0)
            shape.NothingElse();
        return read;
    }
}
