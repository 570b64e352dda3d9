using NutrientLedger.Ledger.Configuration;
using NutrientLedger.Persistence.Configuration;
using NutrientLedger.Web.Contracts.Farms;
using NutrientLedger.Web.Import.Farms;

namespace NutrientLedger.Web.Commands;

/// <summary>Imports a farm file with its GeoJSON fields and records what is new or changed.</summary>
public sealed class FarmImport(ConfigurationStore configurations)
{
    /// <summary>Imports the farm file at a path. Importing the same file again records nothing.</summary>
    public Task<ImportOutcome> ImportAsync(string path, CancellationToken cancellationToken) =>
        ImportAttempts.TryAsync(() => ImportOnceAsync(path, cancellationToken));

    private async Task<ImportOutcome> ImportOnceAsync(string path, CancellationToken cancellationToken)
    {
        var file = await FarmFile.ReadAsync(path, cancellationToken);
        if (file.Content is not { } content)
            return new("", 0, 0, ImportAttempts.Limited(file.Problems));
        var configuration =
            content.FarmId.Length == 0
                ? new ConfigurationSnapshot("", FarmConfiguration.Empty, 0, [])
                : await configurations.ReadAsync(content.FarmId, null, cancellationToken);
        if (file.FieldProblems is { } fieldProblems)
            new FieldOverlaps(configuration, content.Fields).Report(fieldProblems);
        // With errors in the file, differences would be guesses.
        var comparison = file.Problems.Count > 0 ? null : new ConfigurationComparison(file, content, configuration);
        if (comparison is null || file.Problems.Count > 0)
            return new(content.FarmId, 0, 0, ImportAttempts.Limited(file.Problems));
        if (comparison.Events.Count > 0)
            await configurations.RecordAsync(
                content.FarmId,
                configuration.Version,
                comparison.Events,
                cancellationToken
            );
        return new(content.FarmId, comparison.Events.Count, comparison.Unchanged, []);
    }
}
