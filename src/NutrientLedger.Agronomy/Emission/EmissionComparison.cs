using System.Collections.Immutable;

namespace NutrientLedger.Agronomy.Emission;

/// <summary>
/// One point of a plot: the share of ammonium nitrogen lost by an hour after spreading, by the model and by a table.
/// </summary>
public readonly record struct EmissionPoint(int Hour, double EmittedFraction, double TableLossFraction);

/// <summary>The hourly model beside the one factor of a published table for the same case.</summary>
public static class EmissionComparison
{
    /// <summary>
    /// Points from hour 0 to the run's last hour. A table has no values for the hours in between. So its loss, 1 − the
    /// retained share (0 to 1), is the same at every point. The model ends at that level when both agree.
    /// </summary>
    public static ImmutableArray<EmissionPoint> Of(EmissionRun run, double retainedByTable)
    {
        if (!(retainedByTable >= 0 && retainedByTable <= 1))
            throw new ArgumentOutOfRangeException(
                nameof(retainedByTable),
                retainedByTable,
                "The retained share of ammonium nitrogen must be between 0 and 1."
            );
        var loss = 1 - retainedByTable;
        return [new(0, 0, loss), .. run.Hours.Select(hour => new EmissionPoint(hour.Hour, hour.EmittedFraction, loss))];
    }
}
