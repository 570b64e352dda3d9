namespace NutrientLedger.Agronomy.Spreading;

/// <summary>The ground that a tool travels over, in whole cm². The same ground counts again on every pass.</summary>
public static class TravelledArea
{
    /// <summary>Distance × width (m × mm = 10 cm²), rounded half away from zero.</summary>
    public static long SquareCentimetres(double distanceMetres, int widthMillimetres) =>
        (long)Math.Round(distanceMetres * widthMillimetres * 10, MidpointRounding.AwayFromZero);
}
