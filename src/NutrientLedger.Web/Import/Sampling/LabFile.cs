using NutrientLedger.Journal;
using NutrientLedger.Journal.StoredEvents;
using NutrientLedger.Json;
using NutrientLedger.Ledger.Configuration;

namespace NutrientLedger.Web.Import.Sampling;

/// <summary>
/// Laboratory reports: a JSON file <c>{ "reports": [ … ] }</c>, a table with one row per value, or a single report.
/// Every error is reported with its line.
/// </summary>
internal sealed record LabFile(IReadOnlyList<JsonObjectReader> Reports, FileProblems Problems)
{
    public static LabFile Read(string name, byte[] utf8)
    {
        var problems = new FileProblems(name);
        if (name.EndsWith(".csv", StringComparison.OrdinalIgnoreCase))
            return new([.. LabTable.Read(utf8, problems).Select(value => Report(value, problems))], problems);
        if (PositionedJsonParser.Parse(utf8, problems) is not { } whole)
            return new([], problems);
        var file = new JsonObjectReader("the file of reports", whole, problems);
        if (file.IsObject && file.Required("reports") is not null)
        {
            var reports = file.List("reports", "report").ToArray();
            file.RejectUnknownMembers();
            return new(reports, problems);
        }
        return new([], problems);
    }

    /// <summary>Reads a single report, or a file of reports.</summary>
    public static LabFile Posted(byte[] utf8)
    {
        var problems = new FileProblems("the report");
        if (PositionedJsonParser.Parse(utf8, problems) is not { } whole)
            return new([], problems);
        if (whole.Members.Any(member => member.Name == "reports"))
            return Read("the reports", utf8);
        var report = Report(whole, problems);
        return new(report.IsObject ? [report] : [], problems);
    }

    /// <summary>
    /// The events to record, in order; known reports are left out. Usable only when there are no problems.
    /// </summary>
    public IReadOnlyList<IJournalEvent> Events(FarmConfiguration configuration, string? corrects)
    {
        var fresh = new List<IJournalEvent>();
        foreach (var written in Reports)
        {
            var @event = new LabReportSection(configuration).Read(written, corrects);
            if (Problems.Any || IsKnown(written, @event, configuration))
                continue;
            fresh.Add(@event);
            configuration = configuration.With(@event);
        }
        return fresh;
    }

    private static bool IsKnown(JsonObjectReader written, IJournalEvent @event, FarmConfiguration configuration)
    {
        var (id, supersedes) = @event is Journal.Sampling.LabResultCorrected corrected
            ? (corrected.Result.ReportId, corrected.SupersededId)
            : (((Journal.Sampling.LabResultReported)@event).ReportId, null);
        if (configuration.LabReports.Find(id) is { } known)
        {
            if (EventCodec.Encode(known.Event).AsSpan().SequenceEqual(EventCodec.Encode(@event)))
                return true;
            written.AddProblem(
                "id",
                $"report \"{id}\" already exists with other values; to correct it use a new id, \"corrects\": \"{id}\" and \"reason\"."
            );
        }
        if (supersedes is null)
            return false;
        if (configuration.LabReports.Find(supersedes) is not { } former)
            written.AddProblem("corrects", $"there is no report \"{supersedes}\" that it could correct.");
        else if (former.SupersededBy is { } later)
            written.AddProblem(
                "corrects",
                $"report \"{supersedes}\" was already corrected; correct \"{later}\" instead."
            );
        return false;
    }

    private static JsonObjectReader Report(PositionedJsonValue value, FileProblems problems) =>
        new("report", value, problems);
}
