using NutrientLedger.Store;

namespace NutrientLedger.Office.Import;

/// <summary>Brings laboratory reports into a farm's journal: all of a file or nothing; what is known already is not recorded again.</summary>
public sealed class LabImport(RegisterStore registers)
{
    private const int AttemptsMost = 5;

    /// <summary>A file of reports, JSON or (by its name) CSV.</summary>
    public async Task<ImportOutcome> ImportAsync(string farmId, string path, CancellationToken cancellationToken)
    {
        var name = Path.GetFileName(path);
        try
        {
            var bytes = await File.ReadAllBytesAsync(path, cancellationToken);
            return await RecordAsync(farmId, () => LabFile.Read(name, bytes), null, cancellationToken);
        }
        catch (Exception trouble) when (trouble is IOException or UnauthorizedAccessException)
        {
            return new(farmId, 0, 0, [new(name, 0, $"The file cannot be read: {trouble.Message}")]);
        }
    }

    /// <summary>One report (UTF-8 JSON), which supersedes another if that is named.</summary>
    public Task<ImportOutcome> ReportAsync(
        string farmId,
        byte[] utf8,
        string? corrects,
        CancellationToken cancellationToken
    ) => RecordAsync(farmId, () => LabFile.One(utf8), corrects, cancellationToken);

    private async Task<ImportOutcome> RecordAsync(
        string farmId,
        Func<LabFile> read,
        string? corrects,
        CancellationToken cancellationToken
    )
    {
        for (var attempt = 1; ; attempt++)
            try
            {
                return await RecordOnceAsync(farmId, read(), corrects, cancellationToken);
            }
            catch (RegisterChangedException) when (attempt < AttemptsMost)
            {
                // Somebody else recorded meanwhile; the next attempt compares with what is there now.
            }
    }

    private async Task<ImportOutcome> RecordOnceAsync(
        string farmId,
        LabFile file,
        string? corrects,
        CancellationToken cancellationToken
    )
    {
        var at = await registers.ReadAsync(farmId, null, cancellationToken);
        if (at.Register.Farm is null)
            file.Problems.Add(0, $"There is no farm \"{farmId}\"; import its farm file first.");
        else
        {
            var fresh = file.Entries(at.Register, corrects);
            if (file.Problems.InOrder.Count == 0)
            {
                await registers.RecordAsync(farmId, at.Place, fresh, cancellationToken);
                return new(farmId, fresh.Count, file.Reports.Count - fresh.Count, []);
            }
        }
        return new(
            farmId,
            0,
            0,
            [.. file.Problems.InOrder.Select(problem => new ImportProblem(problem.File, problem.Line, problem.Problem))]
        );
    }
}
