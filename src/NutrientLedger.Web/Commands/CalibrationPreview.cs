using NutrientLedger.Ledger.Configuration;
using NutrientLedger.Ledger.Corrections;
using NutrientLedger.Persistence.Configuration;
using NutrientLedger.Persistence.Queries;
using NutrientLedger.Web.Contracts.Farms;
using NutrientLedger.Web.Contracts.Sampling;
using NutrientLedger.Web.Import.Sampling;
using NutrientLedger.Web.Queries.Sampling;

namespace NutrientLedger.Web.Commands;

/// <summary>Reports what calibrations would change if adopted. Stores nothing.</summary>
public sealed class CalibrationPreview(ConfigurationStore configurations, LedgerReader ledgers)
{
    /// <summary>What the calibrations of a file would change together, or all errors of the file.</summary>
    public async Task<(CalibrationsPreviewResponse? Preview, IReadOnlyList<ImportProblem> Problems)> OfFileAsync(
        string farmId,
        string path,
        CancellationToken cancellationToken
    )
    {
        var (bytes, unread) = await ImportAttempts.BytesAsync(path, cancellationToken);
        if (bytes is null)
            return (null, [unread!]);
        var at = await configurations.ReadAsync(farmId, asOf: null, cancellationToken);
        var file = new CalibrationFile(Path.GetFileName(path), bytes);
        var events = file.Events(at);
        if (file.Problems.ByLine.Count > 0)
            return (null, ImportAttempts.WithProblems(farmId, file.Problems).Problems);
        var after = events.Aggregate(at.Configuration, (configuration, @event) => configuration.With(@event));
        var (position, changes) = await ChangesAsync(at, after, cancellationToken);
        return (new(farmId, [.. events.Select(@event => @event.CalibrationId)], position, changes), []);
    }

    /// <summary>
    /// What a replaced configuration changes in the posted ledger. No event that changes lines may lie between the two.
    /// </summary>
    internal async Task<(long Position, IReadOnlyList<ChangeResponse> Changes)> ChangesAsync(
        ConfigurationSnapshot at,
        FarmConfiguration after,
        CancellationToken cancellationToken
    )
    {
        var view = await ledgers.LinesAsync(at.FarmId, null, null, cancellationToken);
        var changes = ChangedSpread.Between(at.Configuration, view.Lines, after, view.Lines);
        return (view.Position, [.. changes.Select(CalibrationMapping.Change)]);
    }
}
