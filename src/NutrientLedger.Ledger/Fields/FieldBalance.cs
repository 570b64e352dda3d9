using NutrientLedger.Agronomy.Fields;
using NutrientLedger.Journal.Fields;
using NutrientLedger.Ledger.Configuration;
using NutrientLedger.Ledger.Coverage;
using NutrientLedger.Ledger.Lines;

namespace NutrientLedger.Ledger.Fields;

/// <summary>
/// The balance of one field in one season, from ledger lines, covered ground and the configuration. Two kinds of area
/// are never mixed. Rates are per area travelled, nutrients on the ground per area covered. The plan counts for the
/// whole field.
/// </summary>
public sealed record FieldBalance(
    string FieldId,
    int Season,
    SpreadAmounts Spread,
    double? FieldSquareMetres,
    double CoveredSquareMetres,
    double OverlappedSquareMetres,
    PlanRemaining? Plan,
    FieldAvailability? Availability
)
{
    private const double SquareMetresPerHectare = 1e4;

    /// <summary>Makes the balance. The lines and coverage may be those of the whole farm.</summary>
    public static FieldBalance Of(
        FarmConfiguration configuration,
        IEnumerable<KeyValuePair<LineKey, LineAmounts>> lines,
        IEnumerable<CoverageRows> coverage,
        string fieldId,
        int season
    )
    {
        var spread = Spreads(configuration, lines, fieldId, season);
        var area = AreaInSeason(configuration, fieldId, season);
        var covered = coverage.FirstOrDefault(rows => rows.FieldId == fieldId && rows.Season == season);
        var availability = FieldAvailability.Of(configuration, lines, fieldId, season);
        var grid = configuration.Farm?.Grid ?? default;
        return new(
            fieldId,
            season,
            spread,
            area,
            covered?.CoveredSquareMetres(grid) ?? 0,
            covered?.OverlappedSquareMetres(grid) ?? 0,
            configuration.Plan(fieldId, season) is { } plan ? PlanRemaining.Of(plan, area, spread, availability) : null,
            availability
        );
    }

    /// <summary>
    /// What the farm metered in a season that belongs to no field: spread or run out elsewhere, not placed, unknown.
    /// </summary>
    public static SpreadAmounts OutsideFields(
        FarmConfiguration configuration,
        IEnumerable<KeyValuePair<LineKey, LineAmounts>> lines,
        int season
    ) => Spreads(configuration, lines, fieldId: "", season);

    public double? TotalNitrogenKilogramsPerCoveredHectare => PerCoveredHectare(Spread.TotalNitrogen.Kilograms);

    public double? AmmoniumNitrogenKilogramsPerCoveredHectare => PerCoveredHectare(Spread.AmmoniumNitrogen.Kilograms);

    public double? P2O5KilogramsPerCoveredHectare => PerCoveredHectare(Spread.P2O5Kilograms);

    public double? K2OKilogramsPerCoveredHectare => PerCoveredHectare(Spread.K2OKilograms);

    /// <summary>The notes beside the amounts, in the order of display.</summary>
    public IEnumerable<BalanceNote> Notes
    {
        get
        {
            var countsAvailable = Plan?.Plan.NitrogenBasis == NitrogenBasis.Available;
            if (Plan?.Nitrogen?.Unavailable is not null)
                yield return countsAvailable ? BalanceNote.AvailableNitrogenUnknown : BalanceNote.NoComparison;
            else if (Plan?.Nitrogen is not null && countsAvailable && Availability?.Set is not null)
                yield return BalanceNote.AvailableNitrogenCounted;
            if (Spread.NegativeCubicMetres > 0)
                yield return BalanceNote.NegativeContent;
            if (Spread.Sums.Flagged[FlagRule.AmmoniumAboveTotal].Intervals > 0)
                yield return BalanceNote.AmmoniumAboveTotal;
        }
    }

    private double? PerCoveredHectare(double kilograms) =>
        CoveredSquareMetres == 0 ? null : kilograms / (CoveredSquareMetres / SquareMetresPerHectare);

    private static SpreadAmounts Spreads(
        FarmConfiguration configuration,
        IEnumerable<KeyValuePair<LineKey, LineAmounts>> lines,
        string fieldId,
        int season
    ) => SpreadAmounts.Of(configuration, lines.Where(line => line.Key.FieldId == fieldId && line.Key.Season == season));

    /// <summary>
    /// The field's area by the boundary in force when the season ends. A plan is for the field as last drawn.
    /// </summary>
    private static double? AreaInSeason(FarmConfiguration configuration, string fieldId, int season) =>
        configuration.Calendar is { } calendar
        && configuration.Field(fieldId)?.BoundaryAt(calendar.EndOf(season) - 1) is { } boundary
            ? BoundaryArea.SquareMetres(boundary)
            : null;
}
