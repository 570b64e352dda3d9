using System.Net.Http.Json;
using System.Text.Json;
using NutrientLedger.Integration.Tests.Fixtures;
using NutrientLedger.Integration.Tests.Hosts;

namespace NutrientLedger.Integration.Tests.Faults.ExternalBroker;

/// <summary>A hub process that receives its messages from an external broker.</summary>
internal sealed class ExternalHub : IAsyncDisposable
{
    private ExternalHub(HubProcess process) => Process = process;

    public HubProcess Process { get; }

    public static ExternalHub Start(TestDatabase database, Mosquitto broker, params string[] options) =>
        new(
            HubProcess.Start([
                "run",
                "--database",
                database.ConnectionString,
                "--http-port",
                "0",
                "--broker",
                $"127.0.0.1:{broker.Port}",
                .. options,
            ])
        );

    /// <summary>Waits until health reports these words about ingestion. Returns the whole sentence.</summary>
    public async Task<string> UntilIngestionReportsAsync(string words)
    {
        var (port, _) = await Process.ListeningAsync();
        using var http = new HttpClient();
        using var limit = new CancellationTokenSource(PersistenceTestHost.Patience);
        while (true)
        {
            var answer = await http.GetAsync($"http://127.0.0.1:{port}/health/ready", limit.Token);
            var parts = (await answer.Content.ReadFromJsonAsync<JsonElement>(limit.Token)).GetProperty("parts");
            var ingestion = parts.EnumerateArray().Single(part => part.GetProperty("part").GetString() == "ingestion");
            if (ingestion.GetProperty("reason").GetString() is { } why && why.Contains(words, StringComparison.Ordinal))
                return why;
            await Task.Delay(50, limit.Token);
        }
    }

    public ValueTask DisposeAsync() => Process.DisposeAsync();
}
