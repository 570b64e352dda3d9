using System.Text.Json;
using NutrientLedger.Journal.Sampling;
using NutrientLedger.Json;
using NutrientLedger.Ledger.Adoption;
using NutrientLedger.Persistence.Configuration;
using NutrientLedger.Web.Contracts.Sampling;
using NutrientLedger.Web.Queries.Sampling;

namespace NutrientLedger.Web.Import.Sampling;

/// <summary>
/// Calibrations to preview: one object as for posting a calibration, or a list of them. Every error is reported with
/// its line.
/// </summary>
internal sealed class CalibrationFile
{
    private readonly List<JsonObjectReader> calibrations = [];

    public CalibrationFile(string name, byte[] utf8)
    {
        Problems = new(name);
        if (PositionedJsonParser.Parse(utf8, Problems) is not { } whole)
            return;
        foreach (var value in whole.Kind == JsonTokenType.StartArray ? whole.Items : [whole])
            if (new JsonObjectReader("calibration", value, Problems) is { IsObject: true } calibration)
                calibrations.Add(calibration);
        if (whole is { Kind: JsonTokenType.StartArray, Items.Count: 0 })
            Problems.Add(whole.Line, "The list is empty; write at least one calibration.");
    }

    public FileProblems Problems { get; }

    /// <summary>The calibrations in file order; usable only when there are no problems.</summary>
    public IReadOnlyList<CalibrationAdopted> Events(ConfigurationSnapshot at)
    {
        var taken = CalibrationMapping.All(at).Select(known => known.Calibration).ToHashSet();
        var events = new List<CalibrationAdopted>();
        foreach (var written in calibrations)
        {
            var request = Request(written);
            written.RejectUnknownMembers();
            var candidate = CalibrationMapping.Candidate(request);
            var check = AdoptionCheck.Of(candidate, at.Configuration, Adopter.Nobody);
            // Unreadable values are already reported. Taken ids are reported below, with those that occur twice in the
            // file.
            var problems = check.Problems.Where(problem => problem.Code != AdoptionProblemCode.IdTaken);
            foreach (var problem in written.HasProblem ? [] : problems)
            {
                var (property, fix) = AdoptionProblemMapping.Of(problem, candidate, at.Configuration);
                written.AddProblem(property, $"{property}: {fix}.");
            }
            if (request.Calibration is { } id && !taken.Add(id))
                written.AddProblem("calibration", $"\"{id}\" was adopted before or appears twice; give it another id.");
            if (check.Calibration is { } @event)
                events.Add(@event);
        }
        return events;
    }

    private static CalibrationRequest Request(JsonObjectReader written) =>
        new(
            Text(written, "calibration"),
            Text(written, "sensor"),
            Text(written, "analyte"),
            Number(written, "slope"),
            Number(written, "interceptMilligramsPerLitre"),
            Number(written, "interceptPartsPerMillion"),
            Moment(written, "validFrom"),
            Moment(written, "validTo"),
            Text(written, "pit"),
            Reports(written),
            Text(written, "by"),
            Text(written, "reason")
        );

    private static string? Text(JsonObjectReader written, string property)
    {
        if (written.Optional(property) is not { } value)
            return null;
        if (value.Kind == JsonTokenType.String)
            return value.Text;
        written.AddProblem(property, $"\"{property}\" must be a text, not {value.KindInWords}.");
        return null;
    }

    private static decimal? Number(JsonObjectReader written, string property)
    {
        if (written.Optional(property) is not { } value)
            return null;
        if (JsonNumbers.Number(value) is { } number)
            return number;
        written.AddProblem(property, $"\"{property}\" must be a number, not {value.KindInWords}.");
        return null;
    }

    private static DateTimeOffset? Moment(JsonObjectReader written, string property) =>
        written.Optional(property) is null ? null : written.Moment(property);

    private static List<string> Reports(JsonObjectReader written)
    {
        const string property = "labReports";
        if (written.Optional(property) is not { } list)
            return [];
        if (list.Kind == JsonTokenType.StartArray && list.Items.All(item => item.Kind == JsonTokenType.String))
            return [.. list.Items.Select(item => item.Text)];
        written.AddProblem(property, $"\"{property}\" must be a list of the ids of laboratory reports.");
        return [];
    }
}
