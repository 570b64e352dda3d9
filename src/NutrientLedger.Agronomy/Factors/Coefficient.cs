using System.Collections.Immutable;
using System.Globalization;
using NutrientLedger.Agronomy.Factors.Conditions;

namespace NutrientLedger.Agronomy.Factors;

/// <summary>
/// One coefficient of a factor set: its value or published range, its exact place in the source, how far to trust it
/// and when it applies. Its name begins with its kind.
/// </summary>
public sealed record Coefficient(
    string Name,
    CoefficientKind Kind,
    double Low,
    double High,
    string Unit,
    string Source,
    string Place,
    SourceMark Mark,
    ImmutableArray<Condition> When,
    double? AtDryMatterPercent,
    string? Note
)
{
    public bool IsRange => Low != High;

    /// <summary>The value or the range, as text for a reader.</summary>
    public string ValueInWords => IsRange ? $"{Plain(Low)} to {Plain(High)}" : Plain(Low);

    /// <summary>The value, or the given end of a range; null for a range without an end.</summary>
    public double? Value(RangeEnd? end) =>
        (IsRange, end) switch
        {
            (false, _) => Low,
            (true, RangeEnd.Low) => Low,
            (true, RangeEnd.High) => High,
            _ => null,
        };

    public bool Overlaps(Coefficient other) => Kind == other.Kind && When.Any(mine => other.When.Any(mine.Overlaps));

    internal static string Plain(double number) => number.ToString("0.############", CultureInfo.InvariantCulture);
}
