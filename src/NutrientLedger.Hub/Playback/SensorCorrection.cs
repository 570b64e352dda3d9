using System.Globalization;
using System.Net;
using System.Text.Json;
using NutrientLedger.Agronomy.Written;
using NutrientLedger.Office.Answers;
using NutrientLedger.Office.Import;
using Spectre.Console;

namespace NutrientLedger.Hub.Playback;

/// <summary>What the demo's farmer makes of the laboratory's reports: which proposals are adopted, for which time, by whom and why.</summary>
public sealed record AdoptedProposals(
    string Sensor,
    IReadOnlyList<string> Analytes,
    DateTimeOffset ValidFrom,
    DateTimeOffset? ValidTo,
    string AdoptedBy,
    string Why
);

/// <summary>
/// The season's end of the demo: laboratory reports come in, the sensor is set beside them, and what that suggests is adopted, by the same
/// query API that anybody may use. Prints what each calibration changed. Done a second time, it changes nothing.
/// </summary>
public sealed class SensorCorrection(IAnsiConsole console, HttpClient hub, SummaryUnits units)
{
    private const string ReportsFile = "larch-hollow-laboratory.json";
    private const string AdoptedFile = "larch-hollow-correction.json";

    /// <summary>False when something could not be recorded; the console says what.</summary>
    public async Task<bool> RunAsync(LabImport reports, string farm, string streams, CancellationToken stopping)
    {
        var adopted = Path.Combine(streams, AdoptedFile);
        if (!File.Exists(adopted))
            return true;
        var outcome = await reports.ImportAsync(farm, Path.Combine(streams, ReportsFile), stopping);
        foreach (var problem in outcome.Problems)
            console.WriteLine($"{problem.File}({problem.Line}): {problem.Problem}");
        if (outcome.Problems.Count > 0)
            return false;
        console.WriteLine(
            $"The laboratory reports on the past season: {Counted.Of(outcome.Recorded, "report")} recorded, {outcome.Unchanged} already known."
        );
        await using var file = File.OpenRead(adopted);
        var proposals = (
            await JsonSerializer.DeserializeAsync<AdoptedProposals>(file, JsonSerializerOptions.Web, stopping)
        )!;
        var all = true;
        foreach (var analyte in proposals.Analytes)
            all &= await AdoptAsync(farm, analyte, proposals, stopping);
        console.WriteLine("Each has a statement that is kept and can be printed: /api/farms/" + farm + "/statements.");
        return all;
    }

    private async Task<bool> AdoptAsync(
        string farm,
        string analyte,
        AdoptedProposals adopted,
        CancellationToken stopping
    )
    {
        var pairs = await hub.GetFromJsonAsync<PairsAnswer>(
            $"/api/farms/{farm}/lab-results/pairs?sensor={adopted.Sensor}&analyte={analyte}",
            stopping
        );
        if (pairs?.Proposal is not { } proposal)
        {
            console.WriteLine($"{Said(analyte)}: the reports suggest no calibration.");
            return false;
        }
        var question = proposal.Calibration with
        {
            ValidFrom = adopted.ValidFrom,
            ValidTo = adopted.ValidTo,
            AdoptedBy = adopted.AdoptedBy,
            Why = $"{adopted.Why} {proposal.Words}",
        };
        using var answer = await hub.PostAsJsonAsync($"/api/farms/{farm}/calibrations", question, stopping);
        if (answer.StatusCode == HttpStatusCode.Conflict)
        {
            console.WriteLine($"{question.Calibration}: adopted before.");
            return true;
        }
        if (!answer.IsSuccessStatusCode)
        {
            console.WriteLine(await answer.Content.ReadAsStringAsync(stopping));
            return false;
        }
        Print(question, (await answer.Content.ReadFromJsonAsync<CorrectionAnswer>(stopping))!);
        return true;
    }

    // Files and addresses have one word for an analyte, people another.
    private static string? Said(string? analyte) =>
        analyte switch
        {
            "totalNitrogen" => "total N",
            "ammoniumNitrogen" => "ammonium N",
            "phosphorus" => "P",
            "potassium" => "K",
            "dryMatter" => "dry matter",
            _ => analyte,
        };

    private static string Line(CalibrationQuestion question)
    {
        var (intercept, unit) = question.InterceptPartsPerMillion is { } parts
            ? (parts, "ppm")
            : (question.InterceptMilligramsPerLitre ?? 0, "mg/L");
        return string.Create(
            CultureInfo.InvariantCulture,
            $"{Said(question.Analyte)} is {question.Slope ?? 1} × reading {(intercept < 0 ? "−" : "+")} {Math.Abs(intercept)} {unit}"
        );
    }

    private static string Hours(CalibrationQuestion question)
    {
        string At(DateTimeOffset? moment) =>
            string.Create(CultureInfo.InvariantCulture, $"{moment:yyyy-MM-dd HH:mm zzz}");
        return question.ValidTo is null
            ? $"from {At(question.ValidFrom)} on"
            : $"from {At(question.ValidFrom)} to {At(question.ValidTo)}";
    }

    private void Print(CalibrationQuestion question, CorrectionAnswer answer)
    {
        var title = $"Sensor {question.Sensor}, {Said(question.Analyte)}, corrected by the laboratory";
        console.Write(ChangeTable.Of(title, answer.Changes, units));
        console.WriteLine($"{question.Calibration}: {Line(question)}, {Hours(question)}.");
        console.WriteLine($"Adopted by {question.AdoptedBy}: {question.Why}");
    }
}
