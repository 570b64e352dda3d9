using NutrientLedger.Journal.Spreading;
using NutrientLedger.Journal.Storage;
using NutrientLedger.Json;

namespace NutrientLedger.Web.Import.Farms;

/// <summary>Reads pits and applicators. The ranges catch typing errors (common practice, no source).</summary>
internal static class EquipmentSections
{
    public static PitRegistered Pit(JsonObjectReader pit, ISet<string> ids)
    {
        var id = pit.NewId(ids);
        var name = pit.Text("name");
        var shape = ShapeSection.Read(pit);
        var full = pit.Millimetres("fullDepthMetres", 0.1m, 30);
        if (full > shape.DepthMillimetres && shape.DepthMillimetres > 0)
            pit.AddProblem("fullDepthMetres", "\"fullDepthMetres\" is more than the depth of the shape.");
        pit.RejectUnknownMembers();
        return new(id, name, shape, full);
    }

    public static ApplicatorRegistered Applicator(JsonObjectReader applicator, ISet<string> ids)
    {
        var read = new ApplicatorRegistered(
            applicator.NewId(ids),
            applicator.Text("name"),
            applicator.Choice("kind", ("dragLine", ApplicatorKind.DragLine), ("tankWagon", ApplicatorKind.TankWagon)),
            applicator.Millimetres("workingWidthMetres", 0.5m, 60),
            applicator.Choice("meterCounts", ("spreading", MeterCounts.Spreading), ("filling", MeterCounts.Filling)),
            applicator.OptionalMillilitres("meterStartsAgainAtCubicMetres", 1, 1_000_000_000)
        );
        applicator.RejectUnknownMembers();
        return read;
    }
}
