namespace NutrientLedger.Agronomy.Storage.Shapes;

/// <summary>
/// A round earthen pond: a round floor with one side slope all round. The slope is run per rise in thousandths (3:1 is
/// 3000).
/// </summary>
public sealed record RoundPond(int FloorDiameterMillimetres, int SlopeRunPerRiseThousandths, int DepthMillimetres)
    : PitShape(DepthMillimetres)
{
    // Volume of a circular pond from its bottom diameter, V = 1.05z²d³ + 1.57Wzd² + 0.79W²d in any one unit of length.
    // Source: USDA Natural Resources Conservation Service, Agricultural Waste Management Field Handbook, chapter 10,
    // worksheet 10A-2. The printed factors are π/3, π/2 and π/4 rounded; here they are unrounded (a frustum of a cone).
    protected override double VolumeAt(double depthMetres)
    {
        var (width, run) = (Metres(FloorDiameterMillimetres), Run(depthMetres));
        return Math.PI * depthMetres * (run * run / 3 + width * run / 2 + width * width / 4);
    }

    protected override double SurfaceAt(double depthMetres)
    {
        var diameter = Metres(FloorDiameterMillimetres) + 2 * Run(depthMetres);
        return Math.PI * diameter * diameter / 4;
    }

    private double Run(double depthMetres) => SlopeRunPerRiseThousandths / 1000.0 * depthMetres;

    private static double Metres(int millimetres) => millimetres / 1000.0;
}
