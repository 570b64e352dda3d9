using System.Text.RegularExpressions;
using NutrientLedger.Json;

namespace NutrientLedger.Web.Import.Sampling;

/// <summary>
/// Numbers in a table separated by semicolons. Such a table has decimal commas and maybe points between thousands, or
/// is from a program set to semicolons. So a single comma or point is decimal only where it cannot separate thousands.
/// </summary>
internal static partial class LabNumber
{
    /// <summary>Whether a column holds numbers.</summary>
    public static bool IsIn(string column) => column is "value" or "density";

    /// <summary>Rewrites the numbers of all rows with a decimal point. Ambiguous ones are reported.</summary>
    public static void Write(string[] columns, IEnumerable<(int Line, string[] Cells)> rows, FileProblems problems)
    {
        foreach (var (line, cells) in rows)
            for (var i = 0; i < columns.Length; i++)
                if (!IsIn(columns[i]))
                    continue;
                else if (MayPartThousands().Match(cells[i]) is { Success: true } parts)
                    problems.Add(
                        line,
                        $"\"{columns[i]}\" is \"{cells[i]}\", which is ambiguous (decimals or thousands); write {parts.Groups[1]}.{parts.Groups[2]}0 or {parts.Groups[1]}{parts.Groups[2]}."
                    );
                else if (DecimalComma().IsMatch(cells[i]))
                    cells[i] = cells[i].Replace(',', '.');
    }

    // Thousands are groups of three digits and never begin with zero.
    [GeneratedRegex("^([1-9][0-9]{0,2})[.,]([0-9]{3})$", RegexOptions.CultureInvariant)]
    private static partial Regex MayPartThousands();

    [GeneratedRegex("^[0-9]+,[0-9]+$", RegexOptions.CultureInvariant)]
    private static partial Regex DecimalComma();
}
