using System.Globalization;
using NutrientLedger.Journal;
using NutrientLedger.Journal.Fields;
using NutrientLedger.Journal.Readings;
using NutrientLedger.Journal.Sampling;
using NutrientLedger.Journal.Spreading;
using NutrientLedger.Journal.Storage;
using NutrientLedger.Journal.StoredEvents;
using NutrientLedger.Ledger.Configuration;

namespace NutrientLedger.Web.Wording;

/// <summary>Describes an event that corrects the past, in the given units and farm time.</summary>
internal sealed class CorrectionWording(FarmCalendar calendar, DisplayUnits units)
{
    private const double MilligramsPerKilogramAndLitresPerCubicMetre = 1000;
    private const double PartsPerMillionOfAPercent = 10_000;

    /// <summary>The description in one sentence.</summary>
    /// <param name="event">The correcting event.</param>
    /// <param name="replaced">The entry of the farm file that no longer counts, if it replaced or withdrew one.</param>
    public string Of(IJournalEvent @event, IJournalEvent? replaced = null) =>
        @event switch
        {
            CalibrationAdopted or CalibrationAdoptedByRule => Adopted(Calibrations.Adoption(@event)!),
            CalibrationWithdrawn c => $"Calibration {c.CalibrationId} withdrawn.",
            ReadingsVoided v => Text(
                $"{Part(v.Part)} {v.FirstSeq} to {v.LastSeq} of {v.EquipmentId}, boot {v.Boot}, voided."
            ),
            VoidWithdrawn v => $"Void {v.VoidId} withdrawn.",
            QuestionableTimeDecided d => Text(
                $"Time of readings {d.FirstSeq} to {d.LastSeq} of {d.EquipmentId}, boot {d.Boot}: {Decision(d)}."
            ),
            BoundaryRedrawn b => Text($"Boundary of field {b.FieldId} redrawn from {b.ValidFrom:yyyy-MM-dd} on."),
            NoSpreadZoneRegistered z => Zone(z),
            SourceChanged s =>
                $"Applicator {s.ApplicatorId} fed from pit {s.PitId} from {At(s.ValidFrom)} on{Instead(s, replaced)}.",
            EntryWithdrawn when replaced is not null => $"Withdrawn: {new EntryWording(calendar).Of(replaced)}.",
            EntryWithdrawn w => $"Withdrawn: {w.Entry.Replace('_', ' ')} {w.Key}.",
            ReadingLimitsSet l =>
                $"Limits of plausible readings of {l.EquipmentId ?? "the whole farm"} set from {At(l.ValidFrom)} on.",
            FieldRegistered f => $"Field {f.FieldId} registered.",
            ApplicatorRegistered a => $"Applicator {a.ApplicatorId} registered.",
            SensorMounted m => Mounted(m, replaced),
            FarmRegistered => "Farm registered.",
            _ => $"An event {EventTypes.NameOf(@event)} was recorded.",
        };

    /// <summary>The farm's rule, if it decided instead of a person; otherwise null.</summary>
    public string? Rule(IJournalEvent @event) =>
        @event is CalibrationAdoptedByRule { Rule: var rule }
            ? Text(
                $"the farm's rule for {rule.SensorId}, {Analytes(rule.Analyte)}: from {rule.PairsMin} pairs up, standard error at most {Content(rule.Analyte, rule.StandardErrorMax)}"
            )
            : null;

    /// <summary>
    /// The rule's reason as recorded, with the days and the level of its test. Where none was recorded: what the
    /// calibration corrects, and its laboratory reports. Null if no rule decided.
    /// </summary>
    public static string? RuleReason(IJournalEvent @event)
    {
        if (@event is not CalibrationAdoptedByRule { Calibration: var adopted })
            return null;
        if (!string.IsNullOrWhiteSpace(adopted.Reason))
            return adopted.Reason;
        string[] reports = adopted.ReportIds.IsDefault ? [] : [.. adopted.ReportIds];
        var corrected = adopted.SlopeMillionths == 1_000_000 ? "Bias" : "Slope and intercept";
        return $"{corrected} of {Plural.Of(reports.Length, "sample")} against the laboratory ({string.Join(", ", reports)}).";
    }

    private static string Zone(NoSpreadZoneRegistered z)
    {
        var until = z.ValidTo is { } end ? Text($" to before {end:yyyy-MM-dd}") : " on";
        return Text($"No-spread zone {z.ZoneId} registered from {z.ValidFrom:yyyy-MM-dd}{until}.");
    }

    private string Mounted(SensorMounted m, IJournalEvent? replaced)
    {
        var hose = m.HoseMillilitres is { } millilitres
            ? Text($", {units.VolumeOf(millilitres / 1e6)} {units.Volume} of hose before the ground")
            : "";
        return $"Sensor {m.SensorId} mounted on {m.HostId} from {At(m.ValidFrom)} on{hose}{Instead(m, replaced)}.";
    }

    private static string Instead(SensorMounted m, IJournalEvent? replaced) =>
        replaced is SensorMounted { HostId: var host } && host != m.HostId ? $", instead of {host}" : "";

    private static string Instead(SourceChanged s, IJournalEvent? replaced) =>
        replaced is SourceChanged { PitId: var pit } && pit != s.PitId ? $", instead of pit {pit}" : "";

    private string Adopted(CalibrationAdopted c)
    {
        var intercept =
            $"{(c.InterceptThousandths < 0 ? "−" : "+")} {Content(c.Analyte, Math.Abs(c.InterceptThousandths) / 1e3)}";
        var until = c.ValidTo is { } end ? $" to {At(end)}" : " on";
        var pit = c.PitId is { } id ? $", for manure of pit {id} only" : "";
        return Text(
            $"Calibration {c.CalibrationId} adopted: {Analytes(c.Analyte)} by sensor {c.SensorId} is {c.SlopeMillionths / 1e6m} × reading {intercept} from {At(c.ValidFrom)}{until}{pit}."
        );
    }

    // A content is in the sensor's raw unit: mg/L, or ppm for dry matter.
    private string Content(Analyte analyte, double inRawUnit) =>
        analyte == Analyte.DryMatter
            ? Text($"{inRawUnit / PartsPerMillionOfAPercent:N2} %")
            : $"{units.ContentOf(inRawUnit / MilligramsPerKilogramAndLitresPerCubicMetre)} {units.Content}";

    private string At(DateTimeOffset moment) => FarmMoment.Of(calendar, moment);

    public static string Analytes(Analyte analyte) =>
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
            VoidedPart.Total => "Meter totals of readings",
            _ => "Readings",
        };

    private static string Decision(QuestionableTimeDecided decided) =>
        decided.Decision switch
        {
            TimeDecision.Shifted => Text($"shifted by {decided.ShiftMilliseconds / 1e3m} s"),
            TimeDecision.LeftOut => "left out",
            _ => "taken as measured",
        };

    private static string Text(FormattableString text) => text.ToString(CultureInfo.InvariantCulture);
}
