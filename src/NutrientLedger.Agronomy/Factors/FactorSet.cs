using System.Collections.Immutable;
using System.Globalization;
using NutrientLedger.Agronomy.Factors.Conditions;

namespace NutrientLedger.Agronomy.Factors;

/// <summary>
/// The coefficients of one publisher's guidance, or of a farm's own file, with the scheme that uses them. A farm
/// chooses a set. Every value computed with it names the set.
/// </summary>
public sealed record FactorSet(
    string Id,
    string Title,
    string Publisher,
    string? Number,
    int? Year,
    string Region,
    Scheme Scheme,
    string? Address,
    ImmutableArray<string> Notes,
    ImmutableArray<string> Legumes,
    ImmutableArray<Coefficient> Coefficients
)
{
    /// <summary>
    /// Title, publisher, number and year in one line. The year stands once, even when the number contains it.
    /// </summary>
    public string Source
    {
        get
        {
            var year = Year?.ToString("0000", CultureInfo.InvariantCulture);
            var dated = year is not null && Number?.Contains(year, StringComparison.Ordinal) == true;
            return string.Join(", ", new[] { Title, Publisher, Number, dated ? null : year }.OfType<string>());
        }
    }

    public bool Has(CoefficientKind kind) => Coefficients.Any(coefficient => coefficient.Kind == kind);

    /// <summary>The one coefficient of a kind that applies in these circumstances, or why there is none.</summary>
    public CoefficientLookup Find(CoefficientKind kind, Circumstances circumstances)
    {
        if (Holding(kind, circumstances) is not { } found)
            return new(null, Missing(kind, circumstances));
        return found.Value(circumstances.RangeEnd) is { } value
            ? new(new(found, value, Id), null)
            : new(
                null,
                MissingCoefficient.Of(Id, kind, circumstances, MissingCause.RangeEndNotGiven) with
                {
                    Coefficient = found.Name,
                    Low = found.Low,
                    High = found.High,
                }
            );
    }

    /// <summary>
    /// The unknown circumstances that the coefficients of a kind depend on, as named in a factor file. Empty when a
    /// coefficient applies already or when none could.
    /// </summary>
    public ImmutableArray<string> Unspecified(CoefficientKind kind, Circumstances circumstances)
    {
        if (Holding(kind, circumstances) is { } found)
            return found.Value(circumstances.RangeEnd) is null ? [Dimensions.RangeEnd] : [];
        return
        [
            .. Coefficients
                .Where(coefficient => coefficient.Kind == kind)
                .SelectMany(coefficient =>
                    coefficient.When.SelectMany(condition => condition.Unspecified(circumstances))
                )
                .Distinct(),
        ];
    }

    private Coefficient? Holding(CoefficientKind kind, Circumstances circumstances) =>
        Coefficients.FirstOrDefault(coefficient =>
            coefficient.Kind == kind && coefficient.When.Any(condition => condition.Fits(circumstances))
        );

    private MissingCoefficient Missing(CoefficientKind kind, Circumstances circumstances)
    {
        if (!Has(kind))
            return MissingCoefficient.Of(Id, kind, circumstances, MissingCause.NoneOfThisKind);
        var unspecified = Unspecified(kind, circumstances);
        return unspecified.IsEmpty
            ? MissingCoefficient.Of(Id, kind, circumstances, MissingCause.NotPublished)
            : MissingCoefficient.Of(Id, kind, circumstances, MissingCause.NotGiven) with
            {
                NotGiven = unspecified,
            };
    }
}

/// <summary>A coefficient as used in a calculation: the value taken and the set it came from.</summary>
public sealed record UsedCoefficient(Coefficient Coefficient, double Value, string SetId);

/// <summary>The result of a look-up: the coefficient or the reason for its absence, never both.</summary>
public sealed record CoefficientLookup(UsedCoefficient? Used, MissingCoefficient? Missing);
