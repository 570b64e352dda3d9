namespace NutrientLedger.Persistence.Projections;

/// <summary>A farm whose correction fails, and why.</summary>
public sealed record FailingCorrection(string FarmId, string Reason);

/// <summary>The corrections that failed when this hub last tried all that wait. For the health check.</summary>
public sealed class FailingCorrections
{
    private volatile IReadOnlyList<FailingCorrection> last = [];

    /// <summary>One of them, or null when none fails.</summary>
    public FailingCorrection? First => last is [var first, ..] ? first : null;

    /// <summary>Notes how the last round ended.</summary>
    internal void Are(IReadOnlyList<FailingCorrection> failed) => last = failed;
}
