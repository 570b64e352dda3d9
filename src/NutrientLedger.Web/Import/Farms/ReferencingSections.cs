using NutrientLedger.Journal.Fields;
using NutrientLedger.Journal.Spreading;
using NutrientLedger.Journal.Storage;
using NutrientLedger.Json;

namespace NutrientLedger.Web.Import.Farms;

/// <summary>
/// Reads the sections of a farm file that refer to fields, pits and applicators: sensors, sources, methods and plans.
/// The ranges catch typing errors (common practice, no source).
/// </summary>
internal sealed class ReferencingSections(
    IReadOnlySet<string>? fields,
    IReadOnlySet<string> pits,
    IReadOnlySet<string> applicators
)
{
    private readonly HashSet<object> keys = [];

    // A mile of hose with 8 inches inner diameter holds 52 m³ (π·d²/4 × length). That none is wider or over five times
    // as long is common practice, no source.
    private const decimal HoseCubicMetresMax = 300;

    public SensorMounted Sensor(JsonObjectReader sensor)
    {
        var id = sensor.Id("id");
        var equipment = sensor.Id("equipment");
        var place = sensor.Choice(
            "place",
            ("onApplicator", SensorPlace.OnApplicator),
            ("atPump", SensorPlace.AtPump),
            ("inPit", SensorPlace.InPit)
        );
        var host =
            place == SensorPlace.InPit
                ? sensor.KnownId("host", "pit", pits)
                : sensor.KnownId("host", "applicator", place == default ? null : applicators);
        var from = sensor.Moment("from");
        var hose = sensor.OptionalMillilitres("hoseVolumeCubicMetres", 0.001m, HoseCubicMetresMax);
        if (hose is not null && place is SensorPlace.OnApplicator or SensorPlace.InPit)
            sensor.AddProblem(
                "hoseVolumeCubicMetres",
                "\"hoseVolumeCubicMetres\" is what the hose between pump and applicator holds; give it for a sensor \"atPump\" only."
            );
        if (!Once(sensor, ("sensor", id, from), "this sensor is mounted twice at the same moment."))
            return new(id, equipment, place, host, from, hose);
        if (place == SensorPlace.InPit && !keys.Add(("level sensor", host, from)))
            sensor.AddProblem(
                "host",
                $"the pit \"{host}\" has two level sensors from the same moment. Keep one. A sensor mounted later takes over from the one before."
            );
        if (place is SensorPlace.OnApplicator or SensorPlace.AtPump && !keys.Add(("content sensor", equipment, from)))
            sensor.AddProblem(
                "equipment",
                $"\"{equipment}\" sends for two sensors from the same moment. Keep one. A sensor mounted later takes over from the one before."
            );
        return new(id, equipment, place, host, from, hose);
    }

    public SourceChanged Source(JsonObjectReader source)
    {
        var read = new SourceChanged(
            source.KnownId("applicator", "applicator", applicators),
            source.KnownId("pit", "pit", pits),
            source.Moment("from")
        );
        Once(
            source,
            ("source", read.ApplicatorId, read.ValidFrom),
            "this applicator has two sources from the same moment."
        );
        return read;
    }

    public SpreadingMethodRecorded Method(JsonObjectReader method)
    {
        var read = new SpreadingMethodRecorded(
            method.KnownId("applicator", "applicator", applicators),
            method.Optional("field") is null ? null : method.KnownId("field", "field", fields),
            method.Choice(
                "method",
                ("broadcast", SpreadingMethod.Broadcast),
                ("trailingHose", SpreadingMethod.TrailingHose),
                ("trailingShoe", SpreadingMethod.TrailingShoe),
                ("openSlotInjection", SpreadingMethod.OpenSlotInjection),
                ("closedSlotInjection", SpreadingMethod.ClosedSlotInjection)
            ),
            method.OptionalWhole("incorporatedAfterHours", 0, 8760),
            method.Moment("from")
        );
        Once(
            method,
            ("method", read.ApplicatorId, read.FieldId, read.ValidFrom),
            "this applicator has two methods for the same ground from the same moment."
        );
        return read;
    }

    public NutrientPlanSet Plan(JsonObjectReader plan)
    {
        var read = new NutrientPlanSet(
            plan.KnownId("field", "field", fields),
            plan.Whole("season", 2000, 2199),
            plan.Choice("nitrogenBasis", ("total", NitrogenBasis.Total), ("available", NitrogenBasis.Available)),
            plan.OptionalGramsPerHectare("nitrogenKilogramsPerHectare", 0, 2000),
            plan.OptionalGramsPerHectare("p2o5KilogramsPerHectare", 0, 2000),
            plan.OptionalGramsPerHectare("k2oKilogramsPerHectare", 0, 2000),
            plan.Text("crop")
        );
        Once(plan, ("plan", read.FieldId, read.Season), "this field has two plans for the same season; keep one.");
        return read;
    }

    private bool Once(JsonObjectReader what, object key, string problem)
    {
        what.RejectUnknownMembers();
        var isNew = keys.Add(key);
        if (!isNew)
            what.AddProblem("", problem);
        return isNew;
    }
}
