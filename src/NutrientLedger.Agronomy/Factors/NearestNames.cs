using System.Collections.Immutable;

namespace NutrientLedger.Agronomy.Factors;

/// <summary>Finds the known names that an unknown name was probably meant to be.</summary>
public static class NearestNames
{
    /// <summary>The nearest names first. A name that contains all the parts of the given name counts as near.</summary>
    public static ImmutableArray<string> To(string name, IEnumerable<string> known, int max) =>
        [
            .. known
                .Distinct()
                .OrderBy(candidate => Distance(name, candidate))
                .ThenBy(candidate => candidate, StringComparer.Ordinal)
                .Take(max),
        ];

    private static int Distance(string name, string candidate)
    {
        var parts = name.Split(['/', ' ', '-'], StringSplitOptions.RemoveEmptyEntries);
        var missing = parts.Count(part => !candidate.Contains(part, StringComparison.OrdinalIgnoreCase));
        return parts.Length > 1 && missing == 0 ? 0 : Edits(name, candidate);
    }

    /// <summary>The letters to insert, remove or change until both are equal (Levenshtein's distance).</summary>
    private static int Edits(string left, string right)
    {
        var row = Enumerable.Range(0, right.Length + 1).ToArray();
        for (var i = 1; i <= left.Length; i++)
        {
            var diagonal = row[0];
            row[0] = i;
            for (var j = 1; j <= right.Length; j++)
            {
                var changed = diagonal + (left[i - 1] == right[j - 1] ? 0 : 1);
                diagonal = row[j];
                row[j] = Math.Min(changed, 1 + Math.Min(row[j], row[j - 1]));
            }
        }
        return row[right.Length];
    }
}
