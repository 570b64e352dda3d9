using System.Collections.Immutable;
using NutrientLedger.Agronomy.Factors.Conditions;

namespace NutrientLedger.Agronomy.Factors.Files;

/// <summary>
/// Finds shares that add up, over the years, to more than was applied. Such a set would let a crop use more of a
/// nutrient than was ever applied.
/// </summary>
public static class YearSums
{
    private const string Year = "year";

    /// <summary>
    /// The first combination of coefficients, one per year, that can all apply to one manure and add up to more than 1.
    /// </summary>
    public static ImmutableArray<Coefficient> ThatExceedTheWhole(IEnumerable<Coefficient> coefficients) =>
        coefficients
            .Where(coefficient => coefficient.Kind.MustName.Contains(Year))
            .GroupBy(coefficient => coefficient.Kind)
            .Select(kind => Exceeding([], 0, ByYear([.. kind])))
            .FirstOrDefault(found => found.Length > 0, []);

    private static ImmutableArray<Coefficient> Exceeding(
        ImmutableArray<Coefficient> chosen,
        double sum,
        ImmutableArray<ImmutableArray<Coefficient>> years
    )
    {
        // A sum of decimals may pass 1 by a rounding error where the source's values meet it exactly.
        if (sum > 1 + 1e-9)
            return chosen;
        if (years.IsEmpty)
            return [];
        var later = years.RemoveAt(0);
        var ways = years[0].Where(coefficient => chosen.All(earlier => CanHoldTogether(earlier, coefficient)));
        return ways.Select(coefficient => Exceeding(chosen.Add(coefficient), sum + coefficient.High, later))
            .Append(Exceeding(chosen, sum, later))
            .FirstOrDefault(found => found.Length > 0, []);
    }

    private static ImmutableArray<ImmutableArray<Coefficient>> ByYear(ImmutableArray<Coefficient> coefficients)
    {
        var named = coefficients.SelectMany(coefficient =>
            coefficient.When.Select(condition => condition.InNumbers[Year])
        );
        var years = named
            .SelectMany(range => new[] { range.Low, range.High })
            .Where(double.IsFinite)
            .Distinct()
            .Order();
        return
        [
            .. years.Select(year =>
                coefficients
                    .Where(coefficient => coefficient.When.Any(condition => condition.InNumbers[Year].Contains(year)))
                    .ToImmutableArray()
            ),
        ];
    }

    private static bool CanHoldTogether(Coefficient one, Coefficient other) =>
        one.When.Any(mine => other.When.Any(theirs => InAnyYear(mine).Overlaps(InAnyYear(theirs))));

    private static Condition InAnyYear(Condition condition) =>
        condition with
        {
            InNumbers = condition.InNumbers.Remove(Year),
        };
}
