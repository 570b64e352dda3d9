using System.Text.Json;
using MQTTnet;
using MQTTnet.Formatter;
using NutrientLedger.Integration.Tests.Farms;

namespace NutrientLedger.Integration.Tests.Faults.ExternalBroker;

/// <summary>
/// A level gauge as the guide on sensors requires. It numbers its readings and keeps them until the hub's
/// acknowledgement watermark has passed them. It sends from the watermark again after a lost connection or when the
/// watermark stalls. The broker's acknowledgement proves nothing to it.
/// </summary>
internal sealed class LoggingDevice(int brokerPort) : IDisposable
{
    private const int AheadMax = 3_000;
    private const int OnTheWayMax = 100;

    private static readonly TimeSpan StandstillMax = TimeSpan.FromSeconds(4);

    private readonly SemaphoreSlim reported = new(0);
    private long upTo;
    private volatile bool finished;
    private Task running = Task.CompletedTask;

    /// <summary>The hub's acknowledgement watermark: all numbers up to it are stored.</summary>
    public long UpTo => Interlocked.Read(ref upTo);

    /// <summary>The highest number sent so far.</summary>
    public long Sent { get; private set; }

    /// <summary>Measures and sends until <see cref="FinishAsync"/>.</summary>
    public void Start(CancellationToken cancellationToken) =>
        running = Task.Run(() => RunAsync(cancellationToken), cancellationToken);

    /// <summary>Stops measuring and waits until all is stored.</summary>
    public Task FinishAsync()
    {
        finished = true;
        return running;
    }

    /// <summary>Waits until so many more readings are known to be stored.</summary>
    public async Task ProgressAsync(long readings, CancellationToken cancellationToken)
    {
        for (var wanted = UpTo + readings; UpTo < wanted; )
            await Task.Delay(20, cancellationToken);
    }

    public void Dispose() => reported.Dispose();

    private async Task RunAsync(CancellationToken cancellationToken)
    {
        while (!finished || UpTo < Sent)
            try
            {
                await SendAsync(cancellationToken);
            }
            catch (Exception) when (!cancellationToken.IsCancellationRequested)
            {
                await Task.Delay(100, cancellationToken);
            }
    }

    private async Task SendAsync(CancellationToken cancellationToken)
    {
        using var client = new MqttClientFactory().CreateMqttClient();
        client.ApplicationMessageReceivedAsync += e =>
        {
            Receive(e.ApplicationMessage);
            return Task.CompletedTask;
        };
        var options = new MqttClientOptionsBuilder()
            .WithTcpServer("127.0.0.1", brokerPort)
            .WithClientId(Some.Gauge)
            .WithProtocolVersion(MqttProtocolVersion.V500)
            .WithTimeout(TimeSpan.FromSeconds(60))
            .Build();
        await client.ConnectAsync(options, cancellationToken);
        await client.SubscribeAsync($"agri/v1/{Some.Farm}/{Some.Gauge}/stored", cancellationToken: cancellationToken);
        var next = UpTo + 1;
        while (!finished || UpTo < Sent)
        {
            var end = finished ? Sent : UpTo + AheadMax;
            if (next > end)
            {
                // Everything is sent. Either the watermark moves, or the missing readings are sent again.
                if (!await reported.WaitAsync(StandstillMax, cancellationToken))
                    next = UpTo + 1;
                continue;
            }
            var batch = new List<Task<MqttClientPublishResult>>();
            for (; next <= end && batch.Count < OnTheWayMax; next++)
            {
                batch.Add(client.PublishAsync($"agri/v1/{Some.Farm}/{Some.Gauge}/store", Messages.Level(next)));
                Sent = Math.Max(Sent, next);
            }
            await Task.WhenAll(batch).WaitAsync(TimeSpan.FromSeconds(90), cancellationToken);
        }
    }

    private void Receive(MqttApplicationMessage watermark)
    {
        using var records = JsonDocument.Parse(watermark.Payload);
        var seq = records.RootElement[0].GetProperty("v").GetInt64();
        Assert.True(seq >= UpTo, $"The watermark went back from {UpTo} to {seq}.");
        Interlocked.Exchange(ref upTo, seq);
        reported.Release();
    }
}
