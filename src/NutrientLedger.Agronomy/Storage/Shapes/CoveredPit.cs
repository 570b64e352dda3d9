namespace NutrientLedger.Agronomy.Storage.Shapes;

/// <summary>
/// A pit with upright walls under a floor, a lid or a roof. No rain enters, and evaporation is taken as zero.
/// </summary>
public sealed record CoveredPit(int LengthMillimetres, int WidthMillimetres, int DepthMillimetres)
    : PitShape(DepthMillimetres)
{
    public override double RainCatchSquareMetres() => 0;

    public override double OpenSurfaceSquareMetres(int levelMillimetres) => 0;

    protected override double VolumeAt(double depthMetres) => FloorSquareMetres() * depthMetres;

    protected override double SurfaceAt(double depthMetres) => FloorSquareMetres();

    private double FloorSquareMetres() => (double)LengthMillimetres * WidthMillimetres / 1e6;
}
