using Microsoft.AspNetCore.Builder;
using Microsoft.Extensions.DependencyInjection;
using MQTTnet;
using MQTTnet.Formatter;
using MQTTnet.Protocol;
using NutrientLedger.Hub;
using NutrientLedger.Store;
using Serilog.Events;

namespace NutrientLedger.Benchmarks;

/// <summary>The whole hub as it is run, in this process, with the invented farm registered.</summary>
internal sealed class BenchHub : IAsyncDisposable
{
    private readonly WebApplication app;
    private readonly int mqttPort;

    private BenchHub(WebApplication app, int mqttPort) => (this.app, this.mqttPort) = (app, mqttPort);

    public LedgerReader Ledger => app.Services.GetRequiredService<LedgerReader>();

    public LedgerAudit Audit => app.Services.GetRequiredService<LedgerAudit>();

    public LedgerFeed Feed => app.Services.GetRequiredService<LedgerFeed>();

    public static async Task<BenchHub> StartAsync(string connectionString)
    {
        var app = HubHost.Compose(connectionString, httpPort: 0, mqttPort: 0, LogEventLevel.Error);
        await app.StartAsync();
        var registers = app.Services.GetRequiredService<RegisterStore>();
        await registers.RecordAsync(BenchFarm.Id, 0, BenchFarm.Entries(), CancellationToken.None);
        return new(app, HubHost.PortsOf(app).Mqtt);
    }

    public async Task<IMqttClient> MachineAsync(int machine)
    {
        var client = new MqttClientFactory().CreateMqttClient();
        var options = new MqttClientOptionsBuilder()
            .WithTcpServer("127.0.0.1", mqttPort)
            .WithClientId(BenchFarm.Machine(machine))
            .WithProtocolVersion(MqttProtocolVersion.V500)
            .Build();
        for (var tries = 0; ; tries++)
            try
            {
                await client.ConnectAsync(options);
                return client;
            }
            catch (Exception) when (tries < 100)
            {
                // The broker begins to listen a moment after the host has started.
                await Task.Delay(50);
            }
    }

    /// <summary>Sends a message and waits until it is stored; anything but stored ends the measurement.</summary>
    public static async Task SendAsync(IMqttClient client, int machine, byte[] payload)
    {
        var answer = await client.PublishAsync(
            new MqttApplicationMessageBuilder()
                .WithTopic(BenchFarm.Topic(machine))
                .WithPayload(payload)
                .WithQualityOfServiceLevel(MqttQualityOfServiceLevel.AtLeastOnce)
                .Build()
        );
        if (!answer.IsSuccess)
            throw new InvalidOperationException($"{answer.ReasonCode}: {answer.ReasonString}");
    }

    /// <summary>Waits until all that is in the journal is posted, so that the next measurement starts quiet.</summary>
    public async Task SettleAsync()
    {
        var devices = app.Services.GetRequiredService<DeviceReader>();
        while (await devices.PositionsAsync(CancellationToken.None) is var (journal, posted) && posted < journal)
            await Task.Delay(20);
    }

    public async ValueTask DisposeAsync()
    {
        await app.StopAsync();
        await app.DisposeAsync();
    }
}
