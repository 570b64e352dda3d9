using NutrientLedger.Office.Asking;
using NutrientLedger.Store;

namespace NutrientLedger.Office.Import;

/// <summary>
/// Brings laboratory reports into a farm's journal: all of a file or nothing; what is known already is not recorded again. What the farm's
/// rules adopt because of them is recorded in the same transaction.
/// </summary>
public sealed class LabImport(RegisterStore registers, SampleReader samples)
{
    private readonly RuleDesk rules = new(samples);

    /// <summary>A file of reports, JSON or (by its name) CSV.</summary>
    public Task<ImportOutcome> ImportAsync(string farmId, string path, CancellationToken cancellationToken) =>
        Recording.OfFileAsync(
            path,
            (name, bytes) => RecordAsync(farmId, () => LabFile.Read(name, bytes), null, cancellationToken),
            cancellationToken
        );

    /// <summary>One report (UTF-8 JSON), which supersedes another if that is named; or several, as in a file.</summary>
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
    ) => Recording.TryAsync(() => RecordOnceAsync(farmId, read(), corrects, cancellationToken));

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
                var after = fresh.Aggregate(at.Register, (register, entry) => register.With(entry));
                var adopted = await rules.AdoptAsync(farmId, after, cancellationToken);
                await registers.RecordAsync(farmId, at.Place, [.. fresh, .. adopted], cancellationToken);
                return new(
                    farmId,
                    fresh.Count,
                    file.Reports.Count - fresh.Count,
                    [],
                    adopted.Count == 0 ? null : [.. adopted.Select(it => it.Calibration.CalibrationId)]
                );
            }
        }
        return Recording.Nothing(farmId, file.Problems);
    }
}
