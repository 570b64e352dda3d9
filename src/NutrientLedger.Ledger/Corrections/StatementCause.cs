using System.Collections.Immutable;
using NutrientLedger.Journal;
using NutrientLedger.Journal.Fields;
using NutrientLedger.Journal.Readings;
using NutrientLedger.Journal.Sampling;
using NutrientLedger.Journal.StoredEvents;
using NutrientLedger.Ledger.Configuration;

namespace NutrientLedger.Ledger.Corrections;

/// <summary>
/// The event that corrected the past: its stored name, the id it is about, and where in the journal it stands. Reports
/// are those it rests on. By and reason are a person's own words; both are null where a rule decided.
/// </summary>
public sealed record StatementCause(
    string Kind,
    string? Id,
    ImmutableArray<string> LabReports,
    string? By,
    string? Reason,
    DateTimeOffset RecordedAt,
    long Position
)
{
    public static StatementCause Of(
        IJournalEvent @event,
        FarmConfiguration before,
        DateTimeOffset recordedAt,
        long position
    )
    {
        var type = EventTypes.Of(@event);
        var (by, reason) = Decision(@event);
        return new(
            type.StoredName,
            type.SubjectOf(@event),
            ReportsOf(@event, before),
            by,
            reason,
            recordedAt,
            position
        );
    }

    private static (string? By, string? Reason) Decision(IJournalEvent @event) =>
        @event switch
        {
            CalibrationAdopted adopted => (adopted.By, adopted.Reason),
            CalibrationWithdrawn withdrawn => (withdrawn.By, withdrawn.Reason),
            ReadingsVoided voided => (voided.By, voided.Reason),
            VoidWithdrawn withdrawn => (withdrawn.By, withdrawn.Reason),
            QuestionableTimeDecided decided => (decided.By, decided.Reason),
            BoundaryRedrawn redrawn => (null, redrawn.Reason),
            NoSpreadZoneRegistered zone => (null, zone.Reason),
            EntryWithdrawn withdrawn => (withdrawn.By, withdrawn.Reason),
            _ => (null, null),
        };

    /// <summary>A calibration that is withdrawn was adopted on reports too.</summary>
    private static ImmutableArray<string> ReportsOf(IJournalEvent @event, FarmConfiguration before) =>
        @event switch
        {
            CalibrationAdopted adopted => adopted.ReportIds.IsDefault ? [] : adopted.ReportIds,
            CalibrationAdoptedByRule byRule => ReportsOf(byRule.Calibration, before),
            CalibrationWithdrawn withdrawn when AdoptionOf(withdrawn, before) is { } adopted => ReportsOf(
                adopted,
                before
            ),
            _ => [],
        };

    private static CalibrationAdopted? AdoptionOf(CalibrationWithdrawn withdrawn, FarmConfiguration before) =>
        before
            .Recorded<IJournalEvent>()
            .Select(Calibrations.Adoption)
            .OfType<CalibrationAdopted>()
            .LastOrDefault(adopted => adopted.CalibrationId == withdrawn.CalibrationId);
}
