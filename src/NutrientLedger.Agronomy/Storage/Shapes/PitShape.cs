namespace NutrientLedger.Agronomy.Storage.Shapes;

/// <summary>
/// The inside shape of a manure storage. Volumes follow from the liquid depth over the floor. A level below the floor
/// counts as empty and one above the rim as full. <see cref="Reaches"/> says whether it was within.
/// </summary>
public abstract record PitShape(int DepthMillimetres)
{
    /// <summary>Whether a level lies between floor and rim.</summary>
    public bool Reaches(int levelMillimetres) => levelMillimetres >= 0 && levelMillimetres <= DepthMillimetres;

    /// <summary>Liquid in the storage at a level.</summary>
    public double VolumeCubicMetres(int levelMillimetres) => VolumeAt(Metres(levelMillimetres));

    /// <summary>The liquid's surface at a level: the volume that one more metre of depth would add.</summary>
    public double SurfaceSquareMetres(int levelMillimetres) => SurfaceAt(Metres(levelMillimetres));

    /// <summary>
    /// The ground, seen from above, from which rain runs in. It is everything within the rim, because rain on a bare
    /// slope ends in the liquid too (common practice, no source). A cover keeps rain out.
    /// </summary>
    public virtual double RainCatchSquareMetres() => SurfaceSquareMetres(DepthMillimetres);

    /// <summary>The liquid's surface that is open to the air at a level.</summary>
    public virtual double OpenSurfaceSquareMetres(int levelMillimetres) => SurfaceSquareMetres(levelMillimetres);

    /// <summary>
    /// The highest whole millimetre at which the storage holds no more than this volume. An empty storage gives the
    /// floor, a full one the rim.
    /// </summary>
    public int LevelMillimetresHolding(double cubicMetres)
    {
        var (fits, tooMuch) = (0, DepthMillimetres + 1);
        while (tooMuch - fits > 1)
        {
            var middle = (fits + tooMuch) / 2;
            (fits, tooMuch) = VolumeCubicMetres(middle) <= cubicMetres ? (middle, tooMuch) : (fits, middle);
        }
        return fits;
    }

    protected abstract double VolumeAt(double depthMetres);

    protected abstract double SurfaceAt(double depthMetres);

    private double Metres(int levelMillimetres) => Math.Clamp(levelMillimetres, 0, DepthMillimetres) / 1000.0;
}

/// <summary>
/// An earthen or concrete basin with a rectangular floor and four equal side slopes. The slope is run per rise in
/// thousandths (3:1 is 3000).
/// </summary>
public sealed record RectangularBasin(
    int FloorLengthMillimetres,
    int FloorWidthMillimetres,
    int SlopeRunPerRiseThousandths,
    int DepthMillimetres
) : PitShape(DepthMillimetres)
{
    // Volume of a pond from its bottom dimensions, V = 4z²d³/3 + z·BL·d² + z·BW·d² + BW·BL·d in any one unit of length.
    // Source: USDA Natural Resources Conservation Service, Agricultural Waste Management Field Handbook, chapter 10,
    // worksheet 10A-2.
    protected override double VolumeAt(double depthMetres)
    {
        var (length, width, slope) = Metres();
        return depthMetres * (length * width + depthMetres * slope * (length + width + depthMetres * slope * 4 / 3));
    }

    protected override double SurfaceAt(double depthMetres)
    {
        var (length, width, slope) = Metres();
        return (length + 2 * slope * depthMetres) * (width + 2 * slope * depthMetres);
    }

    private (double Length, double Width, double Slope) Metres() =>
        (FloorLengthMillimetres / 1000.0, FloorWidthMillimetres / 1000.0, SlopeRunPerRiseThousandths / 1000.0);
}

/// <summary>An upright round tank.</summary>
public sealed record RoundTank(int DiameterMillimetres, int DepthMillimetres) : PitShape(DepthMillimetres)
{
    protected override double VolumeAt(double depthMetres) => FloorSquareMetres() * depthMetres;

    protected override double SurfaceAt(double depthMetres) => FloorSquareMetres();

    private double FloorSquareMetres() => Math.PI * DiameterMillimetres * DiameterMillimetres / 4e6;
}
