using NutrientLedger.Journal;
using NutrientLedger.Journal.Sampling;
using NutrientLedger.Json;
using NutrientLedger.Ledger.Configuration;
using NutrientLedger.Ledger.Sampling;
using NutrientLedger.Web.Contracts.Sampling;
using NutrientLedger.Web.Queries.Sampling;

namespace NutrientLedger.Web.Import.Sampling;

/// <summary>
/// Reads one hand-written laboratory report and checks it against the farm's configuration. A content above 50 g/L is
/// more than liquid manure holds and is taken for a typing error (common practice, no source).
/// </summary>
internal sealed class LabReportSection(FarmConfiguration configuration)
{
    private const double MilligramsPerLitreMax = 50_000;
    private const decimal PrintedMax = 1_000_000;

    private readonly HashSet<string> pits = [.. configuration.Pits.Select(pit => pit.PitId)];
    private readonly HashSet<string> applicators = [.. configuration.Applicators.Select(it => it.ApplicatorId)];
    private readonly HashSet<string> sensors = [.. configuration.Sensors.Select(sensor => sensor.SensorId)];

    /// <summary>
    /// The event of a report: a new one, or one that supersedes the report named by <paramref name="corrects"/> or by
    /// its own property.
    /// </summary>
    public IJournalEvent Read(JsonObjectReader written, string? corrects)
    {
        var supersedes = corrects ?? (written.Optional("corrects") is null ? null : written.Id("corrects"));
        var reason = supersedes is null ? written.OptionalText("reason") : written.Text("reason");
        if (supersedes is null && reason is not null)
            written.AddProblem("reason", "\"reason\" needs \"corrects\", the id of the report to replace.");
        var report = Report(written);
        written.RejectUnknownMembers();
        return supersedes is null ? report : new LabResultCorrected(supersedes, report, report.By, reason!);
    }

    private LabResultReported Report(JsonObjectReader written)
    {
        var pit = written.Optional("pit") is null ? null : written.KnownId("pit", "pit", pits, "on the farm");
        var sensor = written.Optional("sensor") is null
            ? null
            : written.KnownId("sensor", "sensor", sensors, "on the farm");
        var applicator = written.Optional("applicator") is null
            ? null
            : written.KnownId("applicator", "applicator", applicators, "on the farm");
        if (pit is null && sensor is null && applicator is null)
            written.AddProblem("pit", "name where the sample was taken: pit, sensor or applicator.");
        else if (applicator is not null && (pit ?? sensor) is not null)
            written.AddProblem("applicator", "name only one place: applicator, or pit and sensor.");
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
            written.Text("by"),
            applicator
        );
        if (!written.HasProblem)
            Check(written, report);
        return report;
    }

    private static PrintedValue Value(JsonObjectReader written)
    {
        var value = new PrintedValue(
            written.Choice("what", LabReportWords.What),
            Number(written, "value"),
            written.Choice("unit", LabReportWords.Units),
            written.Optional("basis") is null ? PrintedBasis.AsIs : written.Choice("basis", LabReportWords.Bases)
        );
        written.RejectUnknownMembers();
        return value;
    }

    private static PrintedDensity? Density(JsonObjectReader written) =>
        written.Optional("density") is null && written.Optional("densityUnit") is null
            ? null
            : new(Number(written, "density"), written.Choice("densityUnit", LabReportWords.DensityUnits));

    internal static decimal Number(JsonObjectReader written, string property)
    {
        if (written.Required(property) is not { } value)
            return 0;
        if (JsonNumbers.Number(value) is { } number and >= 0 and <= PrintedMax)
            return number;
        var whatToDo = value.Text.Contains(',', StringComparison.Ordinal)
            ? "write a decimal point and no mark between thousands."
            : "leave out what is below the detection limit.";
        written.AddProblem(
            property,
            $"\"{property}\" must be a number from 0 to {PrintedMax} as printed, not {value.KindInWords}; {whatToDo}"
        );
        return 0;
    }

    private static void Check(JsonObjectReader written, LabResultReported report)
    {
        if (report.SampledTo < report.SampledFrom)
            written.AddProblem("sampledTo", "\"sampledTo\" must not be before \"sampledFrom\".");
        if (report.ReportedOn < DateOnly.FromDateTime(report.SampledFrom.UtcDateTime.AddDays(-1)))
            written.AddProblem("reportedOn", "a laboratory cannot report a sample before it was taken.");
        if (report.Density is { Value: <= 0 })
            written.AddProblem("density", "\"density\" must be above 0.");
        if (report.Values.IsEmpty)
            written.AddProblem("values", "the report must hold at least one value.");
        if (report.Values.Any(value => !Enum.IsDefined(value.What) || !Enum.IsDefined(value.Unit)))
            return;
        foreach (
            var twice in report.Values.GroupBy(value => LabContent.AnalyteOf(value.What)).Where(it => it.Count() > 1)
        )
            written.AddProblem(
                "values",
                $"{string.Join(" and ", twice.Select(value => LabReportWords.Of(LabReportWords.What, value.What)))} give the same value; keep the one the laboratory measured."
            );
        foreach (var content in LabContent.Of(report))
            if (content is { Analyte: Analyte.DryMatter, FractionOfFreshMass: not (>= 0 and <= 1) and not null })
                written.AddProblem("values", "dry matter must be a part of the whole, from 0 to 100 %.");
            else if (content is { Analyte: not Analyte.DryMatter, InSensorUnit: > MilligramsPerLitreMax })
                written.AddProblem(
                    "values",
                    $"{CalibrationMapping.Word(content.Analyte)} is more than 50 g/L; check unit and basis."
                );
            else if (content is { InSensorUnit: null, Lacking: { } lacking })
                written.AddProblem("values", $"{CalibrationMapping.Word(content.Analyte)} cannot be used: {lacking}.");
    }
}
