using NutrientLedger.Persistence.Configuration;
using NutrientLedger.Persistence.Queries;
using NutrientLedger.Web.Contracts.Farms;
using NutrientLedger.Web.Import.Sampling;
using NutrientLedger.Web.Queries.Sampling;

namespace NutrientLedger.Web.Commands;

/// <summary>
/// Imports laboratory reports: all of a file or none. Known reports are not recorded again. What the farm's rules then
/// adopt is recorded in the same transaction.
/// </summary>
public sealed class LabImport(ConfigurationStore configurations, SampleReader samples)
{
    private readonly AdoptionRuleQuery rules = new(samples);

    /// <summary>Imports a file of reports, JSON or (by its extension) CSV.</summary>
    public Task<ImportOutcome> ImportAsync(string farmId, string path, CancellationToken cancellationToken) =>
        ImportAttempts.OfFileAsync(
            path,
            (name, bytes) => RecordAsync(farmId, () => LabFile.Read(name, bytes), null, cancellationToken),
            cancellationToken
        );

    /// <summary>
    /// Imports one report (UTF-8 JSON), or several, as in a file. One report supersedes the one named by
    /// <paramref name="corrects"/>, if any.
    /// </summary>
    public Task<ImportOutcome> ReportAsync(
        string farmId,
        byte[] utf8,
        string? corrects,
        CancellationToken cancellationToken
    ) => RecordAsync(farmId, () => LabFile.Posted(utf8), corrects, cancellationToken);

    private Task<ImportOutcome> RecordAsync(
        string farmId,
        Func<LabFile> read,
        string? corrects,
        CancellationToken cancellationToken
    ) => ImportAttempts.TryAsync(() => RecordOnceAsync(farmId, read(), corrects, cancellationToken));

    private async Task<ImportOutcome> RecordOnceAsync(
        string farmId,
        LabFile file,
        string? corrects,
        CancellationToken cancellationToken
    )
    {
        var at = await configurations.ReadAsync(farmId, null, cancellationToken);
        if (at.Configuration.Farm is null)
            file.Problems.Add(0, $"There is no farm \"{farmId}\"; import its farm file first.");
        else
        {
            var fresh = file.Events(at.Configuration, corrects);
            if (!file.Problems.Any)
            {
                var after = fresh.Aggregate(at.Configuration, (configuration, @event) => configuration.With(@event));
                var (adopted, notes) = await rules.AdoptAsync(farmId, after, cancellationToken);
                await configurations.RecordAsync(farmId, at.Version, [.. fresh, .. adopted], cancellationToken);
                return new(
                    farmId,
                    fresh.Count,
                    file.Reports.Count - fresh.Count,
                    [],
                    adopted.Count == 0 ? null : [.. adopted.Select(it => it.Calibration.CalibrationId)],
                    notes.Count == 0 ? null : notes
                );
            }
        }
        return ImportAttempts.WithProblems(farmId, file.Problems);
    }
}
