using NutrientLedger.Agronomy.Written;
using NutrientLedger.Journal;
using NutrientLedger.Journal.Spreading;
using NutrientLedger.Journal.Storage;
using NutrientLedger.Ledger;
using NutrientLedger.Office.Import.Written;

namespace NutrientLedger.Office.Import;

/// <summary>
/// Reads records made by hand about pits and rates, each held against the farm's register. The ranges keep out slips of the pen
/// (common practice, no source).
/// </summary>
internal sealed class PitRecordSection(Register register)
{
    private const decimal MostCubicMetres = 1_000_000;
    private const string OnFarm = "on the farm";

    private readonly HashSet<string> pits = [.. register.Pits.Select(pit => pit.PitId)];
    private readonly HashSet<string> applicators = [.. register.Applicators.Select(it => it.ApplicatorId)];
    private readonly HashSet<string> fields = [.. register.Fields.Select(field => field.FieldId)];

    private readonly MeasuredOnce measured = new(register);

    /// <summary>One record; nothing when its kind is not known.</summary>
    public IEntry? Read(WrittenObject record)
    {
        var kind = record.Text("kind");
        var by = record.Text("recordedBy");
        IEntry? entry = kind switch
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
        if (entry is null && kind.Length > 0)
            record.Problem(
                "kind",
                $"\"kind\" must be one of loads, transfer, inflow, dailyInflow, surroundings, tape, note, evaporation, setRate, not \"{kind}\"."
            );
        if (entry is not null)
            record.NothingElse();
        return entry;
    }

    private LoadsHauled Loads(WrittenObject record, string by) =>
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

    private PitTransferred Transfer(WrittenObject record, string by)
    {
        var read = new PitTransferred(
            by,
            record.Moment("at"),
            Pit(record, "fromPit"),
            Pit(record, "toPit"),
            record.Litres("volumeCubicMetres", 0.001m, MostCubicMetres) * 1000,
            Deviation(record, "deviationCubicMetres", 1_000_000)
        );
        if (read.FromPitId == read.ToPitId && read.FromPitId.Length > 0)
            record.Problem("toPit", "manure cannot be moved from a pit into itself.");
        return read;
    }

    private PitInflowMeasured Inflow(WrittenObject record, string by)
    {
        var read = new PitInflowMeasured(
            by,
            Pit(record, "pit"),
            Kind(record),
            record.Moment("from"),
            Later(record),
            record.Litres("volumeCubicMetres", 0, MostCubicMetres) * 1000,
            Deviation(record, "deviationCubicMetres", 1_000_000)
        );
        measured.Add(record, read);
        return read;
    }

    private DailyInflowSet DailyInflow(WrittenObject record, string by) =>
        new(
            by,
            Pit(record, "pit"),
            Kind(record),
            record.Whole("animals", 1, 1_000_000),
            record.Litres("cubicMetresPerAnimalDay", 0.001m, 100) * 1000,
            record.Moment("from"),
            Deviation(record, "deviationCubicMetresADay", 1_000_000)
        );

    private PitSurroundingsSet Surroundings(WrittenObject record, string by) =>
        new(
            by,
            Pit(record, "pit"),
            record.Whole("runoffSquareMetres", 0, 1_000_000),
            record.Thousandths("runoffShare", 0, 1),
            record.Choice("cover", ("none", 1), ("covered", 2)) == 2,
            record.Moment("from")
        );

    private LevelTaped Tape(WrittenObject record, string by)
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
            record.Problem("dryMetres", "the dry part of the wall is longer than the wall.");
        return read;
    }

    private PitNoted Note(WrittenObject record, string by) =>
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
            Later(record),
            record.Text("text")
        );

    private EvaporationMeasured Evaporation(WrittenObject record, string by)
    {
        var read = new EvaporationMeasured(
            by,
            Pit(record, "pit"),
            record.Moment("from"),
            Later(record),
            record.Millimetres("depthMetres", 0, 2) * 1000L,
            Deviation(record, "deviationMetres", 1_000_000)
        );
        measured.Add(record, read);
        return read;
    }

    private SpreadingRateSet SetRate(WrittenObject record, string by) =>
        new(
            by,
            Applicator(record),
            record.Optional("field") is null ? null : record.KnownId("field", "field", fields, OnFarm),
            record.Litres("cubicMetresPerHectare", 0.1m, 1000) * 1000,
            record.Moment("from"),
            Deviation(record, "deviationCubicMetresPerHectare", 1_000_000)
        );

    private string Pit(WrittenObject record, string property) => record.KnownId(property, "pit", pits, OnFarm);

    private string Applicator(WrittenObject record) => record.KnownId("applicator", "applicator", applicators, OnFarm);

    private static InflowKind Kind(WrittenObject record) =>
        record.Choice("of", ("manure", InflowKind.Manure), ("washWater", InflowKind.WashWater));

    private static DateTimeOffset Later(WrittenObject record)
    {
        var until = record.Moment("until");
        if (until != default && until <= record.Moment("from"))
            record.Problem("until", "\"until\" must be later than \"from\".");
        return until;
    }

    // One standard deviation, and where it is known from; both or neither.
    private static StatedDeviation? Deviation(WrittenObject record, string property, int scale)
    {
        if (record.Optional(property) is not { } size)
            return null;
        if (WrittenNumbers.Number(size) is not (> 0 and <= 100_000 and var number))
        {
            record.Problem(property, $"\"{property}\" must be a number above 0, not {size.KindInWords}.");
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
