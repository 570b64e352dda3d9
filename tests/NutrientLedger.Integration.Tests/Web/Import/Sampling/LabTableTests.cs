using System.Text;
using NutrientLedger.Web.Import.Sampling;

namespace NutrientLedger.Integration.Tests.Web.Import.Sampling;

/// <summary>Tables of laboratory values as spreadsheets of different countries write them.</summary>
public sealed class LabTableTests
{
    [Theory]
    [InlineData("id,what,value,unit\nr-1,totalNitrogen,4.25,kg/m3", "4.25")]
    [InlineData("id;what;value;unit\nr-1;totalNitrogen;4.25;kg/m3", "4.25")]
    [InlineData("id;what;value;unit\nr-1;totalNitrogen;4,25;kg/m3", "4.25")]
    [InlineData("\uFEFF\"id\";\"what\";\"value\";\"unit\"\n\"r-1\";\"totalNitrogen\";\"0,425\";\"kg/m3\"", "0.425")]
    [InlineData("\n\nid;what;value;unit\nr-1;totalNitrogen;1234,5;lb/1000 US gal", "1234.5")]
    [InlineData("id;what;value;unit\nr-1;totalNitrogen;1234,567;ppm", "1234.567")]
    [InlineData("id;what;value;unit\nr-1;totalNitrogen;12;kg/m3", "12")]
    [InlineData("id,what,value,unit\nr-1,totalNitrogen,1.234,kg/m3", "1.234")]
    public void Cells_between_semicolons_are_read_like_cells_between_commas_and_decimals_by_what_they_must_mean(
        string table,
        string value
    )
    {
        var file = Read(table);

        Assert.Empty(file.Problems.ByLine);
        var values = Assert.Single(file.Reports).List("values", "value");
        Assert.Equal(value, Assert.Single(values).Required("value")!.Text);
    }

    [Theory]
    [InlineData("1,234", "1.2340", "1234")]
    [InlineData("1.234", "1.2340", "1234")]
    [InlineData("12,345", "12.3450", "12345")]
    public void An_ambiguous_thousands_or_decimal_separator_is_not_guessed_at(
        string cell,
        string decimals,
        string thousands
    )
    {
        var problem = Assert.Single(Read($"id;density\nr-1;1,02\nr-2;{cell}").Problems.ByLine);

        Assert.Equal(3, problem.Line);
        Assert.Contains($"\"{cell}\"", problem.Problem, StringComparison.Ordinal);
        Assert.Contains($"write {decimals} or {thousands}", problem.Problem, StringComparison.Ordinal);
    }

    [Theory]
    [InlineData("id;value\nr-1;1.234,5", 2, "write a decimal point and no mark between thousands")]
    [InlineData("id;value\nr-1;much", 2, "not much; leave out what is below")]
    [InlineData("id,what;value\nr-1,totalNitrogen;4", 0, "has commas and semicolons; use one separator")]
    [InlineData("id;what;value\nr-1,totalNitrogen,4", 2, "the row has 1 cell, but there are 3 columns")]
    [InlineData("id,what,value\nr-1,totalNitrogen,4,2", 2, "4 cells, but there are 3 columns; a decimal comma")]
    [InlineData("id,value\nr-1,\"4,2\"", 2, "decimal point")]
    public void What_is_neither_is_rejected_with_what_was_found_and_what_to_do(string table, int line, string words)
    {
        var file = Read(table);
        foreach (var value in file.Reports.SelectMany(report => report.List("values", "value")))
            LabReportSection.Number(value, "value");

        var problem = Assert.Single(file.Problems.ByLine);
        Assert.Equal(line, problem.Line);
        Assert.Contains(words, problem.Problem, StringComparison.Ordinal);
    }

    private static LabFile Read(string table) => LabFile.Read("reports.csv", Encoding.UTF8.GetBytes(table));
}
