using System.Globalization;
using System.Net;
using System.Net.Http.Json;
using System.Text.Json;
using NutrientLedger.Web.Commands;
using NutrientLedger.Web.Contracts.Sampling;
using NutrientLedger.Web.Wording;
using Spectre.Console;

namespace NutrientLedger.Demo;

/// <summary>Which calibration proposals the demo's farmer adopts: for which period, by whom and why.</summary>
internal sealed record AdoptedProposals(
    string Sensor,
    IReadOnlyList<string> Analytes,
    DateTimeOffset ValidFrom,
    DateTimeOffset? ValidTo,
    string By,
    string Reason
);

/// <summary>
/// The end of the demo's season: imports laboratory reports and adopts the proposed calibrations over the public API.
/// Prints what each calibration changed. A second run changes nothing.
/// </summary>
public sealed class SensorCorrection(
    IAnsiConsole console,
    HttpClient hub,
    Action<string, IReadOnlyList<ChangeResponse>> printChanges
)
{
    private const string ReportsFile = "larch-hollow-laboratory.json";
    private const string AdoptedFile = "larch-hollow-correction.json";

    /// <summary>Returns false when something could not be recorded; the console says what.</summary>
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
            $"Laboratory: {Plural.Of(outcome.Recorded, "report")} imported, {outcome.Unchanged} unchanged."
        );
        await using var file = File.OpenRead(adopted);
        var proposals = (
            await JsonSerializer.DeserializeAsync<AdoptedProposals>(file, JsonSerializerOptions.Web, stopping)
        )!;
        var all = true;
        foreach (var analyte in proposals.Analytes)
            all &= await AdoptAsync(farm, analyte, proposals, stopping);
        console.WriteLine("Statements to print: /api/farms/" + farm + "/statements.");
        return all;
    }

    private async Task<bool> AdoptAsync(
        string farm,
        string analyte,
        AdoptedProposals adopted,
        CancellationToken stopping
    )
    {
        var pairs = await hub.GetFromJsonAsync<PairsResponse>(
            $"/api/farms/{farm}/lab-results/pairs?sensor={adopted.Sensor}&analyte={analyte}",
            stopping
        );
        if (pairs?.Proposal is not { } proposal)
        {
            console.WriteLine($"{Label(analyte)}: no calibration suggested.");
            return false;
        }
        var request = proposal.Calibration with
        {
            ValidFrom = adopted.ValidFrom,
            ValidTo = adopted.ValidTo,
            By = adopted.By,
            Reason = $"{adopted.Reason} {proposal.Summary}",
        };
        using var answer = await hub.PostAsJsonAsync($"/api/farms/{farm}/calibrations", request, stopping);
        if (answer.StatusCode == HttpStatusCode.Conflict)
        {
            console.WriteLine($"{request.Calibration}: already adopted.");
            return true;
        }
        if (!answer.IsSuccessStatusCode)
        {
            console.WriteLine(await answer.Content.ReadAsStringAsync(stopping));
            return false;
        }
        Print(request, (await answer.Content.ReadFromJsonAsync<CorrectionResponse>(stopping))!);
        return true;
    }

    // Files and addresses name an analyte differently than people do.
    private static string? Label(string? analyte) =>
        analyte switch
        {
            "totalNitrogen" => "total N",
            "ammoniumNitrogen" => "ammonium N",
            "phosphorus" => "P",
            "potassium" => "K",
            "dryMatter" => "dry matter",
            _ => analyte,
        };

    private static string Line(CalibrationRequest request)
    {
        var (intercept, unit) = request.InterceptPartsPerMillion is { } parts
            ? (parts, "ppm")
            : (request.InterceptMilligramsPerLitre ?? 0, "mg/L");
        return string.Create(
            CultureInfo.InvariantCulture,
            $"{Label(request.Analyte)} is {request.Slope ?? 1} × reading {(intercept < 0 ? "−" : "+")} {Math.Abs(intercept)} {unit}"
        );
    }

    private static string Hours(CalibrationRequest request)
    {
        string At(DateTimeOffset? moment) =>
            string.Create(CultureInfo.InvariantCulture, $"{moment:yyyy-MM-dd HH:mm zzz}");
        return request.ValidTo is null
            ? $"from {At(request.ValidFrom)} on"
            : $"from {At(request.ValidFrom)} to {At(request.ValidTo)}";
    }

    private void Print(CalibrationRequest request, CorrectionResponse answer)
    {
        var title = $"Sensor {request.Sensor}, {Label(request.Analyte)}, calibrated with laboratory results";
        printChanges(title, answer.Changes);
        console.WriteLine($"{request.Calibration}: {Line(request)}, {Hours(request)}.");
        console.WriteLine($"Adopted by {request.By}: {request.Reason}");
    }
}
