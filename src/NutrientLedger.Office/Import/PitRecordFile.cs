using NutrientLedger.Agronomy.Written;
using NutrientLedger.Journal;
using NutrientLedger.Ledger;

namespace NutrientLedger.Office.Import;

/// <summary>A file of records made by hand: <c>{ "farm": "…", "records": [ { "kind": "loads", … } ] }</c>.</summary>
internal sealed record PitRecordFile(string FarmId, IReadOnlyList<WrittenObject> Records, ProblemSheet Problems)
{
    public static PitRecordFile Read(string file, byte[] utf8)
    {
        var problems = new ProblemSheet(file);
        if (WrittenText.Parse(utf8, problems) is not { } whole)
            return new("", [], problems);
        var written = new WrittenObject("the file of records", whole, problems);
        if (!written.IsObject)
            return new("", [], problems);
        var farm = Written.WrittenWords.Id(written, "farm");
        IReadOnlyList<WrittenObject> records = [.. written.List("records", "record")];
        written.NothingElse();
        return new(farm, records, problems);
    }

    /// <summary>What the records say about a farm's pits; only of use when no problem was found.</summary>
    public IReadOnlyList<IEntry> Entries(Register register)
    {
        var section = new PitRecordSection(register);
        return [.. Records.Select(section.Read).OfType<IEntry>()];
    }
}
