using System.Collections.Immutable;
using System.Globalization;
using NutrientLedger.Journal;
using NutrientLedger.Journal.Fields;
using NutrientLedger.Journal.Readings;
using NutrientLedger.Journal.Sampling;
using NutrientLedger.Journal.Spreading;
using NutrientLedger.Journal.Storage;
using NutrientLedger.Journal.StoredEvents;
using NutrientLedger.Ledger.Configuration;
using NutrientLedger.Ledger.Wording;

namespace NutrientLedger.Ledger.Corrections;

/// <summary>
/// The entry that corrected the past: its stored name and the id it is about, in words, the laboratory's reports it rests on, who decided
/// it and why where the entry says so, and where in the journal it stands.
/// </summary>
public sealed record StatementCause(
    string Kind,
    string? Id,
    string What,
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
        var (id, what, by, reason) = Details(@event, StatementWords.Kept);
        return new(EventTypes.NameOf(@event), id, what, ReportsOf(@event, before), by, reason, recordedAt, position);
    }

    /// <summary>What a correction is, as those read it who are not helped by UTC and raw units.</summary>
    public static string Describe(IJournalEvent @event, StatementWords words) => Details(@event, words).What;

    private static (string? Id, string What, string? By, string? Reason) Details(
        IJournalEvent @event,
        StatementWords words
    ) =>
        @event switch
        {
            CalibrationAdopted or CalibrationAdoptedByRule => Adopted(Calibrations.Adoption(@event)!, words),
            CalibrationWithdrawn c => (c.CalibrationId, $"Calibration {c.CalibrationId} taken back.", c.By, c.Reason),
            ReadingsVoided v => (
                v.VoidId,
                $"{Part(v.Part)} {v.FirstSeq} to {v.LastSeq} of {v.EquipmentId}, boot {v.Boot}, declared void.",
                v.By,
                v.Reason
            ),
            VoidWithdrawn v => (v.VoidId, $"Void {v.VoidId} taken back.", v.By, v.Reason),
            QuestionableTimeDecided d => (
                d.EquipmentId,
                $"Readings {d.FirstSeq} to {d.LastSeq} of {d.EquipmentId}, boot {d.Boot}, whose time was questionable: {Decision(d)}.",
                d.By,
                d.Reason
            ),
            BoundaryRedrawn b => (
                b.FieldId,
                $"Boundary of field {b.FieldId} drawn anew from {b.ValidFrom:yyyy-MM-dd} on.",
                null,
                b.Reason
            ),
            SourceChanged s => (
                s.ApplicatorId,
                $"Applicator {s.ApplicatorId} fed from pit {s.PitId} from {words.At(s.ValidFrom)} on.",
                null,
                null
            ),
            ReadingLimitsSet l => (
                l.EquipmentId,
                $"Limits of plausible readings of {l.EquipmentId ?? "the whole farm"} set from {words.At(l.ValidFrom)} on.",
                null,
                null
            ),
            FieldRegistered f => (f.FieldId, $"Field {f.FieldId} registered.", null, null),
            ApplicatorRegistered a => (a.ApplicatorId, $"Applicator {a.ApplicatorId} registered.", null, null),
            SensorMounted mounted => Mounted(mounted, words),
            FarmRegistered => (null, "Farm registered.", null, null),
            _ => (null, $"An event {EventTypes.NameOf(@event)} was recorded.", null, null),
        };

    /// <summary>A calibration that is taken back was adopted on reports too.</summary>
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

    private static (string?, string, string?, string?) Mounted(SensorMounted m, StatementWords words)
    {
        var hose = m.HoseMillilitres is { } millilitres ? $", {millilitres / 1e6m} m³ of hose before the ground" : "";
        var what = $"Sensor {m.SensorId} mounted on {m.HostId} from {words.At(m.ValidFrom)} on{hose}.";
        return (m.SensorId, what, null, null);
    }

    private static (string?, string, string?, string?) Adopted(CalibrationAdopted c, StatementWords words)
    {
        var content = words.Content(c.Analyte, Math.Abs(c.InterceptThousandths));
        var until = c.ValidTo is { } end ? $" to {words.At(end)}" : " on";
        var pit = c.PitId is { } id ? $", for manure of pit {id} only" : "";
        var what = string.Create(
            CultureInfo.InvariantCulture,
            $"Calibration {c.CalibrationId} adopted: {Analytes(c.Analyte)} by sensor {c.SensorId} is {c.SlopeMillionths / 1e6m} × reading {(c.InterceptThousandths < 0 ? "−" : "+")} {content} from {words.At(c.ValidFrom)}{until}{pit}."
        );
        return (c.CalibrationId, what, c.By, c.Reason);
    }

    private static string Analytes(Analyte analyte) =>
        analyte switch
        {
            Analyte.DryMatter => "dry matter",
            Analyte.TotalNitrogen => "total nitrogen",
            Analyte.AmmoniumNitrogen => "ammonium nitrogen",
            Analyte.Phosphorus => "phosphorus",
            _ => "potassium",
        };

    private static string Part(VoidedPart part) =>
        part switch
        {
            VoidedPart.Composition => "Contents of readings",
            VoidedPart.Level => "Levels of readings",
            _ => "Readings",
        };

    private static string Decision(QuestionableTimeDecided decided) =>
        decided.Decision switch
        {
            TimeDecision.Shifted => string.Create(
                CultureInfo.InvariantCulture,
                $"shifted by {decided.ShiftMilliseconds / 1e3m} s"
            ),
            TimeDecision.LeftOut => "left out",
            _ => "taken as measured",
        };
}
