using System.Collections.Immutable;
using NutrientLedger.Journal;
using NutrientLedger.Journal.Sampling;

namespace NutrientLedger.Ledger.Configuration;

/// <summary>
/// One version of a laboratory report: its event, which one it supersedes and why, and which one supersedes it.
/// </summary>
public sealed record LabReport(IJournalEvent Event, LabResultReported Result, string? SupersededBy)
{
    public string? Supersedes => (Event as LabResultCorrected)?.SupersededId;

    public string? Reason => (Event as LabResultCorrected)?.Reason;
}

/// <summary>
/// All laboratory reports of a configuration in the order of the journal. A corrected one is kept, but no longer
/// counts.
/// </summary>
public sealed class LabReports
{
    private readonly ImmutableDictionary<string, LabReport> byId;

    internal LabReports(IEnumerable<IJournalEvent> events)
    {
        var versions = new List<LabReport>();
        foreach (var @event in events)
            switch (@event)
            {
                case LabResultReported reported:
                    versions.Add(new(@event, reported, null));
                    break;
                case LabResultCorrected corrected:
                    var superseded = versions.FindLastIndex(known => known.Result.ReportId == corrected.SupersededId);
                    if (superseded >= 0)
                        versions[superseded] = versions[superseded] with { SupersededBy = corrected.Result.ReportId };
                    versions.Add(new(@event, corrected.Result, null));
                    break;
                default:
                    break;
            }
        All = [.. versions];
        byId = versions
            .GroupBy(version => version.Result.ReportId)
            .ToImmutableDictionary(same => same.Key, same => same.Last());
    }

    public ImmutableArray<LabReport> All { get; }

    /// <summary>The reports that no later one supersedes.</summary>
    public IEnumerable<LabReport> InForce => All.Where(report => report.SupersededBy is null);

    public LabReport? Find(string reportId) => byId.GetValueOrDefault(reportId);
}
