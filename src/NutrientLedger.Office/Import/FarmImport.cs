using NutrientLedger.Ledger;
using NutrientLedger.Store;

namespace NutrientLedger.Office.Import;

/// <summary>Reads a farm file with its GeoJSON fields and records what is new or changed in the farm's register.</summary>
public sealed class FarmImport(RegisterStore registers)
{
    /// <summary>Imports the farm file at a path; importing the same file again records nothing.</summary>
    public Task<ImportOutcome> ImportAsync(string path, CancellationToken cancellationToken) =>
        Recording.TryAsync(() => ImportOnceAsync(path, cancellationToken));

    private async Task<ImportOutcome> ImportOnceAsync(string path, CancellationToken cancellationToken)
    {
        var file = await FarmFile.ReadAsync(path, cancellationToken);
        if (file.Sheet is not { } sheet)
            return new("", 0, 0, file.Problems);
        var register =
            sheet.FarmId.Length == 0
                ? new RegisterAt("", Register.Empty, 0, [])
                : await registers.ReadAsync(sheet.FarmId, null, cancellationToken);
        if (file.FieldProblems is { } fieldProblems)
            new FieldOverlaps(register, sheet.Fields).Report(fieldProblems);
        // Only a sheet without faults can be compared; with faults the differences would be guesses.
        var comparison = file.Problems.Count > 0 ? null : new RegisterComparison(file, sheet, register);
        if (comparison is null || file.Problems.Count > 0)
            return new(sheet.FarmId, 0, 0, file.Problems);
        if (comparison.Entries.Count > 0)
            await registers.RecordAsync(sheet.FarmId, register.Place, comparison.Entries, cancellationToken);
        return new(sheet.FarmId, comparison.Entries.Count, comparison.Unchanged, []);
    }
}
