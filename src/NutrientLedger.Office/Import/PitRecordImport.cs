using NutrientLedger.Store;

namespace NutrientLedger.Office.Import;

/// <summary>Brings records made by hand into a farm's journal: all of a file or nothing; what is known already is not recorded again.</summary>
public sealed class PitRecordImport(RegisterStore registers)
{
    public Task<ImportOutcome> ImportAsync(string path, CancellationToken cancellationToken) =>
        Recording.OfFileAsync(
            path,
            (name, bytes) => RecordAsync(name, bytes, null, cancellationToken),
            cancellationToken
        );

    /// <summary>Records what a text says (UTF-8 JSON), of one farm only if one is asked for; the name stands in problems.</summary>
    public Task<ImportOutcome> RecordAsync(
        string name,
        byte[] utf8,
        string? onlyFarm,
        CancellationToken cancellationToken
    ) => Recording.TryAsync(() => RecordOnceAsync(PitRecordFile.Read(name, utf8), onlyFarm, cancellationToken));

    private async Task<ImportOutcome> RecordOnceAsync(
        PitRecordFile file,
        string? onlyFarm,
        CancellationToken cancellationToken
    )
    {
        if (file.FarmId.Length == 0)
            return Recording.Nothing("", file.Problems);
        if (onlyFarm is not null && onlyFarm != file.FarmId)
        {
            file.Problems.Add(1, $"The records are of farm \"{file.FarmId}\", but were sent to \"{onlyFarm}\".");
            return Recording.Nothing(onlyFarm, file.Problems);
        }
        var at = await registers.ReadAsync(file.FarmId, null, cancellationToken);
        if (at.Register.Farm is null)
            file.Problems.Add(1, $"There is no farm \"{file.FarmId}\"; import its farm file first.");
        else
        {
            var entries = file.Entries(at.Register);
            if (file.Problems.InOrder.Count == 0)
            {
                var known = at.Entries.Select(recorded => recorded.Entry).ToHashSet();
                var wanted = entries.Distinct().Where(entry => !known.Contains(entry)).ToArray();
                await registers.RecordAsync(file.FarmId, at.Place, wanted, cancellationToken);
                return new(file.FarmId, wanted.Length, entries.Count - wanted.Length, []);
            }
        }
        return Recording.Nothing(file.FarmId, file.Problems);
    }
}
