using NutrientLedger.Ledger.Configuration;
using NutrientLedger.Persistence.Configuration;
using NutrientLedger.Web.Contracts.Farms;
using NutrientLedger.Web.Import.Farms;

namespace NutrientLedger.Web.Commands;

/// <summary>Imports a farm file with its GeoJSON fields and records what is new or changed.</summary>
public sealed class FarmImport(ConfigurationStore configurations)
{
    /// <summary>Imports the farm file at a path. Importing the same file again records nothing.</summary>
    public Task<FarmImportOutcome> ImportAsync(string path, CancellationToken cancellationToken) =>
        ImportAsync(path, withdrawal: null, cancellationToken);

    /// <summary>The same, and takes back entries that are not in the file, if a withdrawal is given.</summary>
    public Task<FarmImportOutcome> ImportAsync(
        string path,
        Withdrawal? withdrawal,
        CancellationToken cancellationToken
    ) => ImportAttempts.TryAsync(() => ImportOnceAsync(path, withdrawal, cancellationToken));

    private async Task<FarmImportOutcome> ImportOnceAsync(
        string path,
        Withdrawal? withdrawal,
        CancellationToken cancellationToken
    )
    {
        var file = await FarmFile.ReadAsync(path, cancellationToken);
        if (file.Content is not { } content)
            return Rejected("", file);
        var known =
            content.FarmId.Length == 0
                ? new ConfigurationSnapshot("", FarmConfiguration.Empty, 0, [])
                : await configurations.ReadAsync(content.FarmId, null, cancellationToken);
        var edit = new FarmEdit(content, known.Configuration, withdrawal);
        if (file.FieldProblems is { } fieldProblems)
            new FieldOverlaps(edit.Kept, content.Fields).Report(fieldProblems);
        // With errors in the file, differences would be guesses.
        if (file.Problems.Count == 0)
            edit.Compare(file.FarmProblems, file.FieldProblems!);
        if (file.Problems.Count > 0)
            return Rejected(content.FarmId, file);
        await configurations.RecordAsync(
            content.FarmId,
            known.Version,
            [.. edit.Events, .. edit.Withdrawals],
            cancellationToken
        );
        return new(content.FarmId, edit.Events.Count, edit.Unchanged, [], edit.NotInFile, edit.WithdrawnInWords);
    }

    private static FarmImportOutcome Rejected(string farmId, FarmFile file) =>
        new(farmId, 0, 0, ImportAttempts.Limited(file.Problems), [], []);
}
