using System.Diagnostics;
using System.Globalization;
using System.Net;
using System.Net.Http.Json;
using System.Text.Json;

namespace NutrientLedger.Benchmarks;

/// <summary>
/// A round of corrections and queries of a farm with some seasons, by HTTP and by import. Reports the seconds and the
/// processor seconds of each. Waits for the statement of each correction before the next step.
/// </summary>
internal sealed class SeasonSteps(VersionHub hub, SeasonFarm farm, Action<string, double> report)
{
    private const int VoidedReadings = 21;
    private const int QueriesARound = 5;

    private static readonly TimeSpan Poll = TimeSpan.FromMilliseconds(20);
    private static readonly TimeSpan Patience = TimeSpan.FromMinutes(10);
    private static readonly string From = Moment(SeasonCalendar.FarmDayBeginsMs(SeasonCalendar.NewestBegins));
    private static readonly string Day = Text(SeasonCalendar.NewestBegins);

    /// <summary>The round's number chooses readings, boundary and slope, so each round is a new correction.</summary>
    public async Task RunAsync(int round)
    {
        var id = "";
        await CorrectedAsync("21 readings voided, until read", async () => id = await VoidAsync(round));
        await CorrectedAsync("the void withdrawn, until read", () => WithdrawAsync(id));
        await CorrectedAsync("a boundary redrawn, until read", () => RedrawAsync(round));
        await CalibrateAsync(round);
        var season = SeasonCalendar.NewestSeason;
        await QueryAsync("sheet", () => SheetAsync(season));
        await QueryAsync("pits", () => GetAsync($"pits?season={season}"));
        await QueryAsync(
            "reconciliation of 2 days",
            () => GetAsync($"reconciliations?pit={SeasonFarm.Tank(0)}&from={Day}&to={Text(TwoDaysLater)}")
        );
        await QueryAsync(
            "findings of 2 days",
            () => GetAsync($"findings?from={From}&to={Moment(SeasonCalendar.FarmDayBeginsMs(TwoDaysLater))}")
        );
    }

    private static DateOnly TwoDaysLater => SeasonCalendar.NewestBegins.AddDays(2);

    /// <summary>Measures until the ledger has the correction, then waits for the statement.</summary>
    private async Task CorrectedAsync(string what, Func<Task> correct)
    {
        var before = (await LedgerAsync()).Position;
        var (cpu, watch) = (hub.Cpu, Stopwatch.StartNew());
        await correct();
        await UntilAsync(async () => await LedgerAsync() is { IsBeingCorrected: false } now && now.Position > before);
        var (read, spent) = (DateTimeOffset.UtcNow, (hub.Cpu - cpu).Both);
        var took = watch.Elapsed;
        var last = await LastCorrectionAsync();
        // An import does more than record. Its time counts from the recording.
        report($"{what}, s", (what.Contains("redrawn", StringComparison.Ordinal) ? read - last.At : took).TotalSeconds);
        report($"{what}, processor s", spent);
        await StatementAsync(last.Position);
    }

    private async Task<string> VoidAsync(int round)
    {
        var first = 1000 + (round * 100);
        var recorded = await PostAsync(
            "voids",
            new
            {
                equipment = BenchFarm.Applicator(0),
                stream = "spread",
                boot = SeasonCalendar.Boot(SeasonCalendar.NewestBegins),
                firstSeq = first,
                lastSeq = first + VoidedReadings - 1,
                part = "reading",
                reason = "The tool was blocked",
                by = "A person",
            }
        );
        return recorded.GetProperty("id").GetString()!;
    }

    private Task<JsonElement> WithdrawAsync(string id) =>
        PostAsync($"voids/{id}/withdraw", new { reason = "It was not blocked", by = "A person" });

    private Task RedrawAsync(int round) =>
        hub.ImportAsync(farm, new(farm.Field(0, 0), MetresFromSouth: 5 * (1 + round), SeasonCalendar.NewestBegins));

    private async Task CalibrateAsync(int round)
    {
        var (cpu, watch) = (hub.Cpu, Stopwatch.StartNew());
        var adopted = await PostAsync(
            "calibrations",
            new
            {
                calibration = $"nitrogen-{round}",
                sensor = SeasonFarm.Sensor(0),
                analyte = "totalNitrogen",
                slope = 1.1m + (round / 100m),
                validFrom = From,
                by = "A person",
                reason = "The laboratory finds more",
            }
        );
        Report("a calibration adopted, until answered");
        await StatementAsync(adopted.GetProperty("position").GetInt64());
        Report("a calibration adopted, until its statement");

        void Report(string what)
        {
            report($"{what}, s", watch.Elapsed.TotalSeconds);
            report($"{what}, processor s", (hub.Cpu - cpu).Both);
        }
    }

    private async Task QueryAsync(string what, Func<Task> query)
    {
        var (cpu, watch) = (hub.Cpu, Stopwatch.StartNew());
        for (var i = 0; i < QueriesARound; i++)
            await query();
        report($"{what}, s", watch.Elapsed.TotalSeconds / QueriesARound);
        report($"{what}, processor s", (hub.Cpu - cpu).Both / QueriesARound);
    }

    /// <summary>The live stream begins with the whole sheet.</summary>
    private async Task SheetAsync(int season)
    {
        await using var stream = await hub.Http.GetStreamAsync($"/api/live?farm={farm.Id}&season={season}");
        using var lines = new StreamReader(stream);
        while (await lines.ReadLineAsync() is { } line)
            if (line.StartsWith("data: {", StringComparison.Ordinal))
                return;
        throw new InvalidOperationException("The live stream ended without a sheet.");
    }

    /// <summary>A field without work costs least to ask for.</summary>
    private async Task<(long Position, bool IsBeingCorrected)> LedgerAsync()
    {
        var balance = await GetAsync($"fields/{SeasonFarm.IdleField}/balance?season={SeasonCalendar.NewestSeason}");
        return (balance.GetProperty("position").GetInt64(), balance.GetProperty("isBeingCorrected").GetBoolean());
    }

    private async Task<(long Position, DateTimeOffset At)> LastCorrectionAsync()
    {
        var last = (await GetAsync("configuration")).GetProperty("events").EnumerateArray().Last();
        return (last.GetProperty("position").GetInt64(), last.GetProperty("recordedAt").GetDateTimeOffset());
    }

    private Task StatementAsync(long position) =>
        UntilAsync(async () =>
        {
            using var answer = await hub.Http.GetAsync($"/api/farms/{farm.Id}/statements/{position}");
            return answer.StatusCode != HttpStatusCode.NotFound && answer.EnsureSuccessStatusCode().IsSuccessStatusCode;
        });

    private static async Task UntilAsync(Func<Task<bool>> isDone)
    {
        for (var watch = Stopwatch.StartNew(); !await isDone(); await Task.Delay(Poll))
            if (watch.Elapsed > Patience)
                throw new TimeoutException("A correction or its statement did not end.");
    }

    private async Task<JsonElement> GetAsync(string query) =>
        await hub.Http.GetFromJsonAsync<JsonElement>($"/api/farms/{farm.Id}/{query}");

    private async Task<JsonElement> PostAsync(string path, object body)
    {
        using var answer = await hub.Http.PostAsJsonAsync($"/api/farms/{farm.Id}/{path}", body);
        var text = await answer.Content.ReadAsStringAsync();
        return answer.IsSuccessStatusCode
            ? JsonSerializer.Deserialize<JsonElement>(text)
            : throw new InvalidOperationException($"{path}: {text}");
    }

    private static string Text(DateOnly day) => day.ToString("yyyy-MM-dd", CultureInfo.InvariantCulture);

    private static string Moment(long milliseconds) =>
        DateTimeOffset
            .FromUnixTimeMilliseconds(milliseconds)
            .ToString("yyyy-MM-dd'T'HH:mm:ss'Z'", CultureInfo.InvariantCulture);
}
