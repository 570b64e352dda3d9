using NutrientLedger.Store;

namespace NutrientLedger.Office.Import;

/// <summary>Brings records made by hand into a farm's journal: all of a file or nothing; what is known already is not recorded again.</summary>
public sealed class PitRecordImport(RegisterStore registers)
{
    private const int AttemptsMost = 5;

    public async Task<ImportOutcome> ImportAsync(string path, CancellationToken cancellationToken)
    {
        var name = Path.GetFileName(path);
        try
        {
            return await RecordAsync(
                name,
                await File.ReadAllBytesAsync(path, cancellationToken),
                null,
                cancellationToken
            );
        }
        catch (Exception trouble) when (trouble is IOException or UnauthorizedAccessException)
        {
            return new("", 0, 0, [new(name, 0, $"The file cannot be read: {trouble.Message}")]);
        }
    }

    /// <summary>Records what a text says (UTF-8 JSON), of one farm only if one is asked for; the name stands in problems.</summary>
    public async Task<ImportOutcome> RecordAsync(
        string name,
        byte[] utf8,
        string? onlyFarm,
        CancellationToken cancellationToken
    )
    {
        for (var attempt = 1; ; attempt++)
            try
            {
                return await RecordOnceAsync(PitRecordFile.Read(name, utf8), onlyFarm, cancellationToken);
            }
            catch (RegisterChangedException) when (attempt < AttemptsMost)
            {
                // Somebody else recorded meanwhile; the next attempt compares with what is there now.
            }
    }

    private async Task<ImportOutcome> RecordOnceAsync(
        PitRecordFile file,
        string? onlyFarm,
        CancellationToken cancellationToken
    )
    {
        if (file.FarmId.Length == 0)
            return new("", 0, 0, Problems(file));
        if (onlyFarm is not null && onlyFarm != file.FarmId)
        {
            file.Problems.Add(1, $"The records are of farm \"{file.FarmId}\", but were sent to \"{onlyFarm}\".");
            return new(onlyFarm, 0, 0, Problems(file));
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
        return new(file.FarmId, 0, 0, Problems(file));
    }

    private static IReadOnlyList<ImportProblem> Problems(PitRecordFile file) =>
        [.. file.Problems.InOrder.Select(problem => new ImportProblem(problem.File, problem.Line, problem.Problem))];
}
