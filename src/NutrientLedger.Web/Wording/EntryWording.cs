using NutrientLedger.Journal;
using NutrientLedger.Journal.Fields;
using NutrientLedger.Journal.Readings;
using NutrientLedger.Journal.Sampling;
using NutrientLedger.Journal.Spreading;
using NutrientLedger.Journal.Storage;
using NutrientLedger.Journal.StoredEvents;
using NutrientLedger.Ledger.Configuration;

namespace NutrientLedger.Web.Wording;

/// <summary>Names an entry of a farm file as it stands there, in farm time.</summary>
internal sealed class EntryWording(FarmCalendar calendar)
{
    /// <summary>The entry, without a capital letter or a full stop.</summary>
    public string Of(IJournalEvent entry) =>
        entry switch
        {
            FieldRegistered f => Boundary(f.FieldId, f.ValidFrom),
            BoundaryRedrawn b => Boundary(b.FieldId, b.ValidFrom),
            NoSpreadZoneRegistered z => $"no-spread zone {z.ZoneId}",
            PitRegistered p => $"pit {p.PitId}",
            ApplicatorRegistered a => $"applicator {a.ApplicatorId}",
            SensorMounted m => $"sensor {m.SensorId} on {m.HostId} from {At(m.ValidFrom)}",
            SourceChanged s => $"source of {s.ApplicatorId}: pit {s.PitId} from {At(s.ValidFrom)}",
            SpreadingMethodRecorded m =>
                $"method of {m.ApplicatorId} on {(m.FieldId is { } field ? $"field {field}" : "all fields")} from {At(m.ValidFrom)}",
            NutrientPlanSet p => FormattableString.Invariant($"plan of field {p.FieldId} for {p.Season}"),
            AvailabilitySetChosen c => FormattableString.Invariant($"factor set {c.SetId} from season {c.FromSeason}"),
            ReadingLimitsSet l => $"limits of {l.EquipmentId ?? "the whole farm"} from {At(l.ValidFrom)}",
            DefaultDeviationsSet d => FormattableString.Invariant(
                $"deviations of {(d.PitId is { } pit ? $"pit {pit}" : "all pits")} from {d.ValidFrom:yyyy-MM-dd}"
            ),
            AdoptionRuleSet r => $"calibration rule of {r.SensorId}, {CorrectionWording.Analytes(r.Analyte)}",
            _ => $"entry {EventTypes.NameOf(entry)}",
        };

    private static string Boundary(string field, DateOnly from) =>
        FormattableString.Invariant($"boundary of field {field} from {from:yyyy-MM-dd}");

    private string At(DateTimeOffset moment) => FarmMoment.Of(calendar, moment);
}
