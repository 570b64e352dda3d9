using NutrientLedger.Journal;
using NutrientLedger.Json;
using NutrientLedger.Ledger.Configuration;

namespace NutrientLedger.Web.Import.Records;

/// <summary>A file of hand records: <c>{ "farm": "…", "records": [ { "kind": "loads", … } ] }</c>.</summary>
internal sealed record PitRecordFile(string FarmId, IReadOnlyList<JsonObjectReader> Records, FileProblems Problems)
{
    public static PitRecordFile Read(string file, byte[] utf8)
    {
        var problems = new FileProblems(file);
        if (PositionedJsonParser.Parse(utf8, problems) is not { } whole)
            return new("", [], problems);
        var written = new JsonObjectReader("the file of records", whole, problems);
        if (!written.IsObject)
            return new("", [], problems);
        var farm = written.Id("farm");
        IReadOnlyList<JsonObjectReader> records = [.. written.List("records", "record")];
        written.RejectUnknownMembers();
        return new(farm, records, problems);
    }

    /// <summary>The events of the records; usable only when there are no problems.</summary>
    public IReadOnlyList<IJournalEvent> Events(FarmConfiguration configuration)
    {
        var section = new PitRecordSection(configuration);
        return [.. Records.Select(section.Read).OfType<IJournalEvent>()];
    }
}
