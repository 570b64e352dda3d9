using System.Text.RegularExpressions;
using NutrientLedger.Json;

namespace NutrientLedger.Web.Import.Sampling;

/// <summary>
/// Numbers of a table whose cells are parted by semicolons. Such a table comes from where decimals are written with a
/// comma and thousands may be parted by a point, or from a program set to semicolons; so a single mark counts as the
/// decimal one only where it cannot part thousands.
/// </summary>
internal static partial class LabNumber
{
    /// <summary>Whether a column holds numbers.</summary>
    public static bool IsIn(string column) => column is "value" or "density";

    /// <summary>
    /// Writes the numbers of all rows with a decimal point; what could be read in two ways is a problem.
    /// </summary>
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

    // Thousands are parted in threes and never begin with a zero.
    [GeneratedRegex("^([1-9][0-9]{0,2})[.,]([0-9]{3})$", RegexOptions.CultureInvariant)]
    private static partial Regex MayPartThousands();

    [GeneratedRegex("^[0-9]+,[0-9]+$", RegexOptions.CultureInvariant)]
    private static partial Regex DecimalComma();
}
