namespace NutrientLedger.Agronomy;

/// <summary>
/// Division of whole numbers that rounds towards minus infinity. So steps and hours are equal on both sides of zero.
/// </summary>
public static class FloorDivision
{
    public static long Divide(long dividend, long divisor)
    {
        var (quotient, remainder) = Math.DivRem(dividend, divisor);
        return remainder != 0 && (remainder < 0) != (divisor < 0) ? quotient - 1 : quotient;
    }
}
