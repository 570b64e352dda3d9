using System.Net;
using System.Net.Http.Json;
using System.Text.Json;
using Microsoft.Extensions.DependencyInjection;
using Npgsql;
using NutrientLedger.Integration.Tests.Farms;
using NutrientLedger.Persistence.Configuration;
using NutrientLedger.Web.Commands;

namespace NutrientLedger.Integration.Tests.Faults.Campaign;

/// <summary>
/// What people do with a farm meanwhile: voids, decided clocks, laboratory reports, calibrations, replays, and farm
/// files with another boundary, width or source. A hub may die under a call; then nobody knows whether it was done.
/// </summary>
internal sealed class CampaignEdits(SmallFarm farm, CampaignDevice device, Random random, IServiceProvider services)
{
    private const string Reason = "Tried out";
    private const string By = "Ada Ash";
    private readonly List<string> voids = [];
    private int made;

    /// <summary>Does one of them, by one of the hubs, and names it.</summary>
    public async Task<string> AnyAsync(Uri hub)
    {
        made++;
        using var client = new HttpClient
        {
            BaseAddress = new(hub, $"api/farms/{farm.Id}/"),
            Timeout = TimeSpan.FromSeconds(60),
        };
        return random.Next(8) switch
        {
            0 => await VoidAsync(client, "reading"),
            1 => await VoidAsync(client, "composition"),
            2 => await WithdrawAsync(client),
            3 => await DecideAsync(client),
            4 => await PostAsync(client, "laboratory report", "lab-results", Report()),
            5 => await PostAsync(client, "calibration", "calibrations", Calibration()),
            6 => await PostAsync(client, "replay", "replays", new { }),
            _ => await ImportAsync(),
        };
    }

    public async Task ImportFirstAsync() => Assert.Empty((await ImportFileAsync()).Problems);

    private async Task<string> VoidAsync(HttpClient client, string part)
    {
        var (boot, first, last) = Numbers();
        var answer = await SendAsync(
            client,
            "voids",
            new
            {
                equipment = CampaignDevice.Equipment,
                stream = "spread",
                boot,
                firstSeq = first,
                lastSeq = last,
                part,
                reason = Reason,
                by = By,
            }
        );
        if (answer is { } done && done.TryGetProperty("id", out var id))
            voids.Add(id.GetString()!);
        return $"void of {part}s";
    }

    private async Task<string> WithdrawAsync(HttpClient client)
    {
        if (voids.Count > 0)
            await SendAsync(
                client,
                $"voids/{voids[random.Next(voids.Count)]}/withdraw",
                new { reason = Reason, by = By }
            );
        return voids.Count > 0 ? "void withdrawn" : "nothing";
    }

    private async Task<string> DecideAsync(HttpClient client)
    {
        var (boot, first, last) = Numbers();
        var decision = new[] { "asMeasured", "leftOut", "shifted" }[random.Next(3)];
        long? shift = decision == "shifted" ? random.Next(1, 7_200_000) : null;
        return await PostAsync(
            client,
            "clock decided",
            "questionable-times/decide",
            new
            {
                equipment = CampaignDevice.Equipment,
                stream = "spread",
                boot,
                firstSeq = first,
                lastSeq = last,
                decision,
                shiftMilliseconds = shift,
                reason = Reason,
                by = By,
            }
        );
    }

    private object Report() =>
        new
        {
            id = $"r-{made}",
            sample = $"s-{made}",
            laboratory = "Invented laboratory",
            sampledFrom = SmallFarm.Morning.AddMinutes(random.Next(60)),
            sampledTo = SmallFarm.Morning.AddMinutes(61 + random.Next(60)),
            sensor = "nir",
            method = "Kjeldahl",
            reportedOn = "2026-05-01",
            by = By,
            values = new[]
            {
                new
                {
                    what = "totalNitrogen",
                    value = 3.5 + random.NextDouble(),
                    unit = "kg/m3",
                },
            },
        };

    private object Calibration() =>
        new
        {
            calibration = $"c-{made}",
            sensor = "nir",
            analyte = "totalNitrogen",
            slope = 1 + (random.Next(1, 300) / 1000m),
            validFrom = SmallFarm.Morning.AddHours(-random.Next(1, 24)),
            by = By,
            reason = Reason,
        };

    private async Task<string> ImportAsync()
    {
        var east = -91.01 + (random.Next(-9, 10) / 10_000.0);
        farm.Write(
            farm.FarmText.Replace("12.0005", $"{8 + random.Next(8)}", StringComparison.Ordinal),
            SmallFarm
                .FieldsText.Replace(
                    "\"name\": \"East\"",
                    $"\"name\": \"East\", \"validFrom\": \"2025-10-01\", \"changeReason\": \"{Reason} {made}\"",
                    StringComparison.Ordinal
                )
                .Replace("-91.01,", FormattableString.Invariant($"{east},"), StringComparison.Ordinal)
        );
        try
        {
            Assert.Empty((await ImportFileAsync()).Problems);
        }
        catch (NpgsqlException)
        {
            return "farm file, cut off";
        }
        return "farm file";
    }

    private Task<NutrientLedger.Web.Contracts.Farms.FarmImportOutcome> ImportFileAsync() =>
        new FarmImport(services.GetRequiredService<ConfigurationStore>()).ImportAsync(farm.Path, default);

    private (long Boot, int First, int Last) Numbers()
    {
        var (boot, last) = device.Boots[random.Next(device.Boots.Count)];
        var first = random.Next(1, (int)last + 1);
        return (boot, first, Math.Min((int)last, first + random.Next(15)));
    }

    private static async Task<string> PostAsync(HttpClient client, string what, string path, object body)
    {
        await SendAsync(client, path, body);
        return what;
    }

    /// <summary>The answer, or null when the hub refused or died. A fault of the hub itself fails the test.</summary>
    private static async Task<JsonElement?> SendAsync(HttpClient client, string path, object body)
    {
        try
        {
            using var answer = await client.PostAsJsonAsync(path, body);
            var text = await answer.Content.ReadAsStringAsync();
            Assert.True(answer.StatusCode != HttpStatusCode.InternalServerError, $"{path}: {text}");
            return answer.IsSuccessStatusCode ? JsonSerializer.Deserialize<JsonElement>(text) : null;
        }
        catch (Exception e) when (e is HttpRequestException or TaskCanceledException or IOException)
        {
            return null;
        }
    }
}
