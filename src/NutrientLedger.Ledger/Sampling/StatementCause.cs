using System.Collections.Immutable;
using System.Globalization;
using NutrientLedger.Journal;
using NutrientLedger.Journal.Fields;
using NutrientLedger.Journal.Sampling;
using NutrientLedger.Journal.Spreading;
using NutrientLedger.Journal.Storage;

namespace NutrientLedger.Ledger;

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
    string? Why,
    DateTimeOffset RecordedAt,
    long Position
)
{
    public static StatementCause Of(IEntry entry, Register before, DateTimeOffset recordedAt, long position)
    {
        var (id, what, by, why) = Told(entry, StatementWords.Kept);
        return new(StoredNames.Of(entry), id, what, ReportsOf(entry, before), by, why, recordedAt, position);
    }

    /// <summary>What a correction is, as those read it who are not helped by UTC and raw units.</summary>
    public static string Say(IEntry entry, StatementWords words) => Told(entry, words).What;

    private static (string? Id, string What, string? By, string? Why) Told(IEntry entry, StatementWords words) =>
        entry switch
        {
            CalibrationAdopted or CalibrationAdoptedByRule => Adopted(Calibrations.Adoption(entry)!, words),
            CalibrationWithdrawn c => (
                c.CalibrationId,
                $"Calibration {c.CalibrationId} taken back.",
                c.WithdrawnBy,
                c.Why
            ),
            ReadingsVoided v => (
                v.VoidingId,
                $"{Part(v.Part)} {v.FirstSeq} to {v.LastSeq} of {v.EquipmentId}, boot {v.Boot}, declared void.",
                v.DecidedBy,
                v.Reason
            ),
            VoidingWithdrawn v => (v.VoidingId, $"Voiding {v.VoidingId} taken back.", v.DecidedBy, v.Reason),
            DoubtDecided d => (
                d.EquipmentId,
                $"Readings {d.FirstSeq} to {d.LastSeq} of {d.EquipmentId}, boot {d.Boot}, whose time was in doubt: {Decision(d)}.",
                d.DecidedBy,
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
            SensorMounted or SensorMountedWithHose => Mounted(MountedSensor.Of(entry)!, words),
            FarmRegistered => (null, "Farm registered.", null, null),
            _ => (null, $"An entry {StoredNames.Of(entry)} was recorded.", null, null),
        };

    /// <summary>A calibration that is taken back was adopted on reports too.</summary>
    private static ImmutableArray<string> ReportsOf(IEntry entry, Register before) =>
        entry switch
        {
            CalibrationAdopted adopted => adopted.ReportIds.IsDefault ? [] : adopted.ReportIds,
            CalibrationAdoptedByRule byRule => ReportsOf(byRule.Calibration, before),
            CalibrationWithdrawn withdrawn when AdoptionOf(withdrawn, before) is { } adopted => ReportsOf(
                adopted,
                before
            ),
            _ => [],
        };

    private static CalibrationAdopted? AdoptionOf(CalibrationWithdrawn withdrawn, Register before) =>
        before
            .Recorded<IEntry>()
            .Select(Calibrations.Adoption)
            .OfType<CalibrationAdopted>()
            .LastOrDefault(adopted => adopted.CalibrationId == withdrawn.CalibrationId);

    private static (string?, string, string?, string?) Mounted(MountedSensor m, StatementWords words)
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
        return (c.CalibrationId, what, c.AdoptedBy, c.Why);
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

    private static string Decision(DoubtDecided decided) =>
        decided.Decision switch
        {
            DoubtDecision.Shifted => string.Create(
                CultureInfo.InvariantCulture,
                $"shifted by {decided.ShiftMilliseconds / 1e3m} s"
            ),
            DoubtDecision.LeftOut => "left out",
            _ => "taken as measured",
        };
}
