using NutrientLedger.Agronomy.Written;
using NutrientLedger.Journal;
using NutrientLedger.Journal.Sampling;
using NutrientLedger.Ledger;
using NutrientLedger.Office.Asking;
using NutrientLedger.Office.Import.Written;

namespace NutrientLedger.Office.Import;

/// <summary>
/// Reads one laboratory report as a person wrote it down and holds it against the farm's register. A content above 50 g/L is beyond
/// what any liquid manure holds and is taken for a slip of the pen (common practice, no source).
/// </summary>
internal sealed class LabReportSection(Register register)
{
    private const double MostMilligramsPerLitre = 50_000;
    private const decimal MostPrinted = 1_000_000;

    private readonly HashSet<string> pits = [.. register.Pits.Select(pit => pit.PitId)];
    private readonly HashSet<string> applicators = [.. register.Applicators.Select(it => it.ApplicatorId)];
    private readonly HashSet<string> sensors = [.. register.Sensors.Select(sensor => sensor.SensorId)];

    /// <summary>The entry a report makes: a new one, or one that supersedes the report it names (<paramref name="corrects"/>, or its own word).</summary>
    public IEntry Read(WrittenObject written, string? corrects)
    {
        var supersedes = corrects ?? (written.Optional("corrects") is null ? null : written.Id("corrects"));
        var why = supersedes is null ? written.OptionalText("why") : written.Text("why");
        if (supersedes is null && why is not null)
            written.Problem(
                "why",
                "\"why\" goes with \"corrects\", the id of the report that this one takes the place of."
            );
        var report = Report(written);
        written.NothingElse();
        return supersedes is null ? report : new LabResultCorrected(supersedes, report, report.EnteredBy, why!);
    }

    private LabResultReported Report(WrittenObject written)
    {
        var pit = written.Optional("pit") is null ? null : written.KnownId("pit", "pit", pits, "on the farm");
        var sensor = written.Optional("sensor") is null
            ? null
            : written.KnownId("sensor", "sensor", sensors, "on the farm");
        var applicator = written.Optional("applicator") is null
            ? null
            : written.KnownId("applicator", "applicator", applicators, "on the farm");
        if (pit is null && sensor is null && applicator is null)
            written.Problem(
                "pit",
                "name the pit that was sampled, the sensor beside which the passing flow was sampled, or the applicator at which it was."
            );
        else if (applicator is not null && (pit ?? sensor) is not null)
            written.Problem(
                "applicator",
                "a sample taken at the applicator names neither pit nor sensor; keep the place where it was taken."
            );
        var report = new LabResultReported(
            written.Id("id"),
            written.Text("sample"),
            written.Text("laboratory"),
            written.Moment("sampledFrom"),
            written.Moment("sampledTo"),
            pit,
            sensor,
            written.Text("method"),
            written.Day("reportedOn"),
            [.. written.List("values", "value").Select(Value)],
            Density(written),
            written.Text("enteredBy"),
            applicator
        );
        if (!written.HasProblem)
            Check(written, report);
        return report;
    }

    private static PrintedValue Value(WrittenObject written)
    {
        var value = new PrintedValue(
            written.Choice("what", LabWords.What),
            Number(written, "value"),
            written.Choice("unit", LabWords.Units),
            written.Optional("basis") is null ? PrintedBasis.AsIs : written.Choice("basis", LabWords.Bases)
        );
        written.NothingElse();
        return value;
    }

    private static PrintedDensity? Density(WrittenObject written) =>
        written.Optional("density") is null && written.Optional("densityUnit") is null
            ? null
            : new(Number(written, "density"), written.Choice("densityUnit", LabWords.DensityUnits));

    internal static decimal Number(WrittenObject written, string property)
    {
        if (written.Required(property) is not { } value)
            return 0;
        if (WrittenNumbers.Number(value) is { } number and >= 0 and <= MostPrinted)
            return number;
        var whatToDo = value.Text.Contains(',', StringComparison.Ordinal)
            ? "write a decimal point and no mark between thousands."
            : "leave out what is below the detection limit.";
        written.Problem(
            property,
            $"\"{property}\" must be a number from 0 to {MostPrinted} as printed, not {value.KindInWords}; {whatToDo}"
        );
        return 0;
    }

    private static void Check(WrittenObject written, LabResultReported report)
    {
        if (report.SampledTo < report.SampledFrom)
            written.Problem("sampledTo", "\"sampledTo\" must not be before \"sampledFrom\".");
        if (report.ReportedOn < DateOnly.FromDateTime(report.SampledFrom.UtcDateTime.AddDays(-1)))
            written.Problem("reportedOn", "a laboratory cannot report a sample before it was taken.");
        if (report.Density is { Value: <= 0 })
            written.Problem("density", "\"density\" must be above 0.");
        if (report.Values.IsEmpty)
            written.Problem("values", "the report must hold at least one value.");
        if (report.Values.Any(value => !Enum.IsDefined(value.What) || !Enum.IsDefined(value.Unit)))
            return;
        foreach (
            var twice in report.Values.GroupBy(value => LabContent.AnalyteOf(value.What)).Where(it => it.Count() > 1)
        )
            written.Problem(
                "values",
                $"{string.Join(" and ", twice.Select(value => LabWords.Of(LabWords.What, value.What)))} say the same thing; keep the one the laboratory measured."
            );
        foreach (var content in LabContent.Of(report))
            if (content is { Analyte: Analyte.DryMatter, FractionOfFreshMass: not (>= 0 and <= 1) and not null })
                written.Problem("values", "dry matter must be a part of the whole, from 0 to 100 %.");
            else if (content is { Analyte: not Analyte.DryMatter, InSensorUnit: > MostMilligramsPerLitre })
                written.Problem(
                    "values",
                    $"{CalibrationBook.Word(content.Analyte)} comes to more than 50 g/L; look at its unit and basis again."
                );
            else if (content is { InSensorUnit: null, Lacking: { } lacking })
                written.Problem("values", $"{CalibrationBook.Word(content.Analyte)} cannot be used: {lacking}.");
    }
}
