using NutrientLedger.Agronomy.Written;
using NutrientLedger.Journal;
using NutrientLedger.Ledger;

namespace NutrientLedger.Office.Import;

/// <summary>
/// Laboratory reports as written: a JSON file <c>{ "reports": [ … ] }</c>, the same as a table with one row a value, or one report
/// alone. Every fault is on the problem sheet with its line.
/// </summary>
internal sealed record LabFile(IReadOnlyList<WrittenObject> Reports, ProblemSheet Problems)
{
    public static LabFile Read(string name, byte[] utf8)
    {
        var problems = new ProblemSheet(name);
        if (name.EndsWith(".csv", StringComparison.OrdinalIgnoreCase))
            return new([.. LabTable.Read(utf8, problems).Select(value => Report(value, problems))], problems);
        if (WrittenText.Parse(utf8, problems) is not { } whole)
            return new([], problems);
        var file = new WrittenObject("the file of reports", whole, problems);
        if (file.IsObject && file.Required("reports") is not null)
        {
            var reports = file.List("reports", "report").ToArray();
            file.NothingElse();
            return new(reports, problems);
        }
        return new([], problems);
    }

    /// <summary>One report alone, or what a file of reports holds.</summary>
    public static LabFile Posted(byte[] utf8)
    {
        var problems = new ProblemSheet("the report");
        if (WrittenText.Parse(utf8, problems) is not { } whole)
            return new([], problems);
        if (whole.Members.Any(member => member.Name == "reports"))
            return Read("the reports", utf8);
        var report = Report(whole, problems);
        return new(report.IsObject ? [report] : [], problems);
    }

    /// <summary>What is to be recorded, in order; what is known already is left out. Only of use when no problem was found.</summary>
    public IReadOnlyList<IEntry> Entries(Register register, string? corrects)
    {
        var fresh = new List<IEntry>();
        foreach (var written in Reports)
        {
            var entry = new LabReportSection(register).Read(written, corrects);
            if (Problems.InOrder.Count > 0 || IsKnown(written, entry, register))
                continue;
            fresh.Add(entry);
            register = register.With(entry);
        }
        return fresh;
    }

    private static bool IsKnown(WrittenObject written, IEntry entry, Register register)
    {
        var (id, supersedes) = entry is Journal.Sampling.LabResultCorrected corrected
            ? (corrected.Result.ReportId, corrected.SupersededId)
            : (((Journal.Sampling.LabResultReported)entry).ReportId, null);
        if (register.LabReports.Find(id) is { } known)
        {
            if (EntryForm.Bytes(known.Entry).AsSpan().SequenceEqual(EntryForm.Bytes(entry)))
                return true;
            written.Problem(
                "id",
                $"report \"{id}\" is in the journal with other contents; to correct it give this one another id, with \"corrects\": \"{id}\" and \"why\"."
            );
        }
        if (supersedes is null)
            return false;
        if (register.LabReports.Find(supersedes) is not { } former)
            written.Problem("corrects", $"there is no report \"{supersedes}\" that it could correct.");
        else if (former.SupersededBy is { } later)
            written.Problem(
                "corrects",
                $"report \"{supersedes}\" was corrected before; correct \"{later}\", which took its place."
            );
        return false;
    }

    private static WrittenObject Report(WrittenValue value, ProblemSheet problems) => new("report", value, problems);
}
