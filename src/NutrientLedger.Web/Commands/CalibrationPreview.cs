using NutrientLedger.Journal;
using NutrientLedger.Ledger.Configuration;
using NutrientLedger.Ledger.Corrections;
using NutrientLedger.Ledger.Posting;
using NutrientLedger.Persistence.Configuration;
using NutrientLedger.Persistence.Queries;
using NutrientLedger.Web.Contracts.Farms;
using NutrientLedger.Web.Contracts.Sampling;
using NutrientLedger.Web.Import.Sampling;
using NutrientLedger.Web.Queries.Sampling;

namespace NutrientLedger.Web.Commands;

/// <summary>Reports what calibrations would change if adopted. Stores nothing.</summary>
public sealed class CalibrationPreview(ConfigurationStore configurations, LedgerReader ledgers, SampleReader samples)
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
        if (file.Problems.Any)
            return (null, ImportAttempts.WithProblems(farmId, file.Problems).Problems);
        var after = events.Aggregate(at.Configuration, (configuration, @event) => configuration.With(@event));
        var (position, changes) = await ChangesAsync(at, events, after, cancellationToken);
        var warnings = new List<string>();
        foreach (var @event in events)
        {
            var own = await Pairing.WarningsAsync(samples, farmId, at.Configuration, @event, cancellationToken);
            warnings.AddRange(own.Select(warning => $"{@event.CalibrationId}: {warning}"));
        }
        return (new(farmId, [.. events.Select(@event => @event.CalibrationId)], position, changes, warnings), []);
    }

    /// <summary>
    /// What calibrations, or their withdrawal, change in the posted ledger.
    /// </summary>
    internal async Task<(long Position, IReadOnlyList<ChangeResponse> Changes)> ChangesAsync(
        ConfigurationSnapshot at,
        IEnumerable<IJournalEvent> calibrations,
        FarmConfiguration after,
        CancellationToken cancellationToken
    )
    {
        var seasons = new Correction(calibrations, at.Configuration, after).Seasons(_ => []).Range;
        var view = await ledgers.LinesAsync(at.FarmId, seasons, asOf: null, cancellationToken);
        var changes = ChangedSpread.Between(at.Configuration, view.Lines, after, view.Lines);
        return (view.Position, [.. changes.Select(CalibrationMapping.Change)]);
    }
}
