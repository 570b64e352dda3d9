using NutrientLedger.Agronomy.Storage.Shapes;
using NutrientLedger.Json;

namespace NutrientLedger.Web.Import.Farms;

/// <summary>Reads the inside shape of a pit. The ranges catch typing errors (common practice, no source).</summary>
internal static class ShapeSection
{
    private static readonly PitShape NoShape = new RoundTank(0, 0);

    private enum Kind
    {
        RectangularBasin = 1,
        RoundTank,
        RoundPond,
        CoveredPit,
        StageVolumeTable,
    }

    public static PitShape Read(JsonObjectReader pit)
    {
        if (pit.Nested("shape", $"{pit.Label}, shape") is not { } shape)
            return NoShape;
        var kind = shape.Choice(
            "kind",
            ("rectangularBasin", Kind.RectangularBasin),
            ("roundTank", Kind.RoundTank),
            ("roundPond", Kind.RoundPond),
            ("coveredPit", Kind.CoveredPit),
            ("stageVolumeTable", Kind.StageVolumeTable)
        );
        if (kind == default)
            return NoShape;
        var read = Read(shape, kind);
        shape.RejectUnknownMembers();
        return read;
    }

    private static PitShape Read(JsonObjectReader shape, Kind kind) =>
        kind switch
        {
            Kind.RectangularBasin => new RectangularBasin(
                shape.Millimetres("floorLengthMetres", 1, 1000),
                shape.Millimetres("floorWidthMetres", 1, 1000),
                Slope(shape),
                Depth(shape)
            ),
            Kind.RoundPond => new RoundPond(
                shape.Millimetres("floorDiameterMetres", 1, 1000),
                Slope(shape),
                Depth(shape)
            ),
            Kind.CoveredPit => new CoveredPit(
                shape.Millimetres("lengthMetres", 1, 1000),
                shape.Millimetres("widthMetres", 1, 1000),
                Depth(shape)
            ),
            Kind.StageVolumeTable => Table(shape),
            _ => new RoundTank(shape.Millimetres("diameterMetres", 1, 200), Depth(shape)),
        };

    private static int Depth(JsonObjectReader shape) => shape.Millimetres("depthMetres", 0.5m, 30);

    private static int Slope(JsonObjectReader shape) => shape.Thousandths("slopeRunPerRise", 0, 10);

    private static PitShape Table(JsonObjectReader shape)
    {
        shape.Required("stages");
        var stages = shape
            .List("stages", $"{shape.Label}, stage")
            .Select(stage => (Given: stage, Read: Stage(stage)))
            .ToArray();
        // With an unreadable stage, errors about the order of the others would be guesses.
        if (shape.HasProblem || stages.Any(stage => stage.Given.HasProblem))
            return NoShape;
        try
        {
            return new StageVolumeTable([.. stages.Select(stage => stage.Read)]);
        }
        catch (ArgumentException wrong)
        {
            shape.AddProblem("stages", wrong.Message);
            return NoShape;
        }
    }

    private static StageVolume Stage(JsonObjectReader stage)
    {
        var read = new StageVolume(
            stage.Millimetres("levelMetres", 0, 30),
            stage.Litres("volumeCubicMetres", 0, 1_000_000)
        );
        stage.RejectUnknownMembers();
        return read;
    }
}
