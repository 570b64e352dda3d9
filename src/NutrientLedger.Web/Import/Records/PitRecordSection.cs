using NutrientLedger.Journal;
using NutrientLedger.Journal.Spreading;
using NutrientLedger.Journal.Storage;
using NutrientLedger.Json;
using NutrientLedger.Ledger.Configuration;

namespace NutrientLedger.Web.Import.Records;

/// <summary>
/// Reads hand records about pits and rates and checks each against the farm's configuration. The ranges catch typing
/// errors (common practice, no source).
/// </summary>
internal sealed class PitRecordSection(FarmConfiguration configuration)
{
    private const decimal CubicMetresMax = 1_000_000;
    private const string OnFarm = "on the farm";

    private readonly HashSet<string> pits = [.. configuration.Pits.Select(pit => pit.PitId)];
    private readonly HashSet<string> applicators = [.. configuration.Applicators.Select(it => it.ApplicatorId)];
    private readonly HashSet<string> fields = [.. configuration.Fields.Select(field => field.FieldId)];

    private readonly MeasurementOverlaps measured = new(configuration);

    /// <summary>Reads one record; null when its kind is unknown.</summary>
    public IJournalEvent? Read(JsonObjectReader record)
    {
        var kind = record.Text("kind");
        var by = record.Text("by");
        IJournalEvent? @event = kind switch
        {
            "loads" => Loads(record, by),
            "transfer" => Transfer(record, by),
            "inflow" => Inflow(record, by),
            "dailyInflow" => DailyInflow(record, by),
            "surroundings" => Surroundings(record, by),
            "tape" => Tape(record, by),
            "note" => Note(record, by),
            "evaporation" => Evaporation(record, by),
            "setRate" => SetRate(record, by),
            _ => null,
        };
        if (@event is null && kind.Length > 0)
            record.AddProblem(
                "kind",
                $"\"kind\" must be one of loads, transfer, inflow, dailyInflow, surroundings, tape, note, evaporation, setRate, not \"{kind}\"."
            );
        if (@event is not null)
            record.RejectUnknownMembers();
        return @event;
    }

    private LoadsHauled Loads(JsonObjectReader record, string by) =>
        new(
            by,
            record.Moment("at"),
            Pit(record, "pit"),
            record.Optional("applicator") is null ? null : Applicator(record),
            record.Optional("field") is null ? null : record.KnownId("field", "field", fields, OnFarm),
            record.Whole("loads", 1, 10_000),
            record.Litres("fillVolumeCubicMetres", 0.1m, 200) * 1000,
            record.Thousandths("shareFilled", 0.001m, 1),
            Deviation(record, "deviationCubicMetres", 1_000_000)
        );

    private PitTransferred Transfer(JsonObjectReader record, string by)
    {
        var read = new PitTransferred(
            by,
            record.Moment("at"),
            Pit(record, "fromPit"),
            Pit(record, "toPit"),
            record.Litres("volumeCubicMetres", 0.001m, CubicMetresMax) * 1000,
            Deviation(record, "deviationCubicMetres", 1_000_000)
        );
        if (read.FromPitId == read.ToPitId && read.FromPitId.Length > 0)
            record.AddProblem("toPit", "manure cannot be moved from a pit into itself.");
        return read;
    }

    private PitInflowMeasured Inflow(JsonObjectReader record, string by)
    {
        var read = new PitInflowMeasured(
            by,
            Pit(record, "pit"),
            Kind(record),
            record.Moment("from"),
            EndOf(record),
            record.Litres("volumeCubicMetres", 0, CubicMetresMax) * 1000,
            Deviation(record, "deviationCubicMetres", 1_000_000)
        );
        measured.Add(record, read);
        return read;
    }

    private DailyInflowSet DailyInflow(JsonObjectReader record, string by) =>
        new(
            by,
            Pit(record, "pit"),
            Kind(record),
            record.Whole("animals", 1, 1_000_000),
            record.Litres("cubicMetresPerAnimalDay", 0.001m, 100) * 1000,
            record.Moment("from"),
            Deviation(record, "deviationCubicMetresADay", 1_000_000)
        );

    private PitSurroundingsSet Surroundings(JsonObjectReader record, string by) =>
        new(
            by,
            Pit(record, "pit"),
            record.Whole("runoffSquareMetres", 0, 1_000_000),
            record.Thousandths("runoffShare", 0, 1),
            record.Choice("cover", ("none", 1), ("covered", 2)) == 2,
            record.Moment("from")
        );

    private LevelTaped Tape(JsonObjectReader record, string by)
    {
        var read = new LevelTaped(
            by,
            record.Moment("at"),
            Pit(record, "pit"),
            record.Millimetres("wallMetres", 0.1m, 60),
            record.Millimetres("dryMetres", 0, 60),
            record.Thousandths("slopeDegrees", 1, 90),
            Deviation(record, "deviationMetres", 1000)
        );
        if (read.FreeboardMillimetres > read.WallMillimetres)
            record.AddProblem("dryMetres", "the dry part of the wall is longer than the wall.");
        return read;
    }

    private PitNoted Note(JsonObjectReader record, string by) =>
        new(
            by,
            Pit(record, "pit"),
            record.Choice(
                "what",
                ("agitated", PitNoteKind.Agitated),
                ("settled", PitNoteKind.Settled),
                ("foamOrCrust", PitNoteKind.FoamOrCrust)
            ),
            record.Moment("from"),
            EndOf(record),
            record.Text("text")
        );

    private EvaporationMeasured Evaporation(JsonObjectReader record, string by)
    {
        var read = new EvaporationMeasured(
            by,
            Pit(record, "pit"),
            record.Moment("from"),
            EndOf(record),
            record.Millimetres("depthMetres", 0, 2) * 1000L,
            Deviation(record, "deviationMetres", 1_000_000)
        );
        measured.Add(record, read);
        return read;
    }

    private SpreadingRateSet SetRate(JsonObjectReader record, string by) =>
        new(
            by,
            Applicator(record),
            record.Optional("field") is null ? null : record.KnownId("field", "field", fields, OnFarm),
            record.Litres("cubicMetresPerHectare", 0.1m, 1000) * 1000,
            record.Moment("from"),
            Deviation(record, "deviationCubicMetresPerHectare", 1_000_000)
        );

    private string Pit(JsonObjectReader record, string property) => record.KnownId(property, "pit", pits, OnFarm);

    private string Applicator(JsonObjectReader record) =>
        record.KnownId("applicator", "applicator", applicators, OnFarm);

    private static InflowKind Kind(JsonObjectReader record) =>
        record.Choice("of", ("manure", InflowKind.Manure), ("washWater", InflowKind.WashWater));

    private static DateTimeOffset EndOf(JsonObjectReader record)
    {
        var until = record.Moment("until");
        if (until != default && until <= record.Moment("from"))
            record.AddProblem("until", "\"until\" must be later than \"from\".");
        return until;
    }

    // One standard deviation and its source: both or neither.
    private static StatedDeviation? Deviation(JsonObjectReader record, string property, int scale)
    {
        if (record.Optional(property) is not { } size)
            return null;
        if (JsonNumbers.Number(size) is not (> 0 and <= 100_000 and var number))
        {
            record.AddProblem(property, $"\"{property}\" must be a number above 0, not {size.KindInWords}.");
            return null;
        }
        var source = record.Choice(
            "deviationKnownFrom",
            ("dataSheet", DeviationSource.DataSheet),
            ("commonPractice", DeviationSource.CommonPractice),
            ("estimatedFromData", DeviationSource.EstimatedFromData),
            ("judged", DeviationSource.Judged)
        );
        return new(Math.Max(1, (long)Math.Round(number * scale)), source);
    }
}
