using System.Buffers;
using System.Net;
using System.Threading.Channels;
using Microsoft.AspNetCore.Builder;
using Microsoft.AspNetCore.Hosting;
using Microsoft.Extensions.DependencyInjection;
using Microsoft.Extensions.Hosting;
using Microsoft.Extensions.Logging;
using MQTTnet.AspNetCore;
using MQTTnet.Packets;
using MQTTnet.Protocol;
using MQTTnet.Server;
using Npgsql;
using NutrientLedger.Journal;
using NutrientLedger.Journal.Spreading;
using NutrientLedger.Telemetry;

namespace NutrientLedger.Benchmarks;

/// <summary>
/// The floor with storage: the simplest program that keeps readings in a table, each once, acknowledged after the
/// commit. It has the hub's broker library, message decoder and commit limit, but no journal, gaps, dead letters or
/// ledger.
/// </summary>
internal static class FlatIngester
{
    private const int CommitMessagesMax = 500;

    /// <summary>Runs until it receives a stop signal.</summary>
    public static async Task RunAsync(string connectionString)
    {
        await using var source = NpgsqlDataSource.Create(connectionString);
        await using var table = await FlatTable.OpenAsync(source);
        var builder = WebApplication.CreateSlimBuilder();
        builder.Logging.ClearProviders();
        builder.Services.AddHostedMqttServer(options => options.WithoutDefaultEndpoint());
        builder.Services.AddMqttConnectionHandler();
        builder.WebHost.ConfigureKestrel(kestrel => kestrel.Listen(IPAddress.Loopback, 0, listen => listen.UseMqtt()));
        await using var app = builder.Build();
        var waiting = Channel.CreateBounded<Waiting>(
            new BoundedChannelOptions(8 * CommitMessagesMax) { SingleReader = true }
        );
        var server = app.Services.GetRequiredService<MqttServer>();
        server.InterceptingPublishAsync += e => TakeAsync(e, waiting.Writer);
        server.InterceptingOutboundPacketAsync += e =>
            e.Packet is MqttPubAckPacket { UserProperties: Held held } ? held.Committed.Task : Task.CompletedTask;
        await app.StartAsync();
        Console.WriteLine($"mqtt://127.0.0.1:{new Uri(app.Urls.Single()).Port}");
        var commits = CommitAsync(waiting.Reader, table);
        // A broken commit ends the process, and with it the measurement.
        await Task.WhenAny(commits, app.WaitForShutdownAsync());
        waiting.Writer.TryComplete();
        await commits;
    }

    private static async Task TakeAsync(InterceptingPublishEventArgs e, ChannelWriter<Waiting> waiting)
    {
        var message = e.ApplicationMessage;
        e.ProcessPublish = false;
        var result = MessageDecoder.Decode(message.Topic, message.ContentType, message.Payload.ToArray());
        if (result is not DecodeResult.Decoded { Event: SpreadingMeasured { Batch: var batch } })
        {
            e.Response.ReasonCode = MqttPubAckReasonCode.PayloadFormatInvalid;
            return;
        }
        var held = new Held();
        e.Response.UserProperties = held;
        await waiting.WriteAsync(new(batch, held), e.CancellationToken);
    }

    /// <summary>Commits at once what is there; what arrives meanwhile is the next commit.</summary>
    private static async Task CommitAsync(ChannelReader<Waiting> waiting, FlatTable table)
    {
        var commit = new List<Waiting>(CommitMessagesMax);
        while (await waiting.WaitToReadAsync())
        {
            while (commit.Count < CommitMessagesMax && waiting.TryRead(out var message))
                commit.Add(message);
            await table.StoreAsync(commit.Select(message => message.Batch));
            foreach (var message in commit)
                message.Held.Committed.SetResult();
            commit.Clear();
        }
    }

    private readonly record struct Waiting(ReadingBatch<SpreadReading> Batch, Held Held);

    /// <summary>
    /// An acknowledgement held until the commit. The broker sends it as the response's empty user properties.
    /// </summary>
    private sealed class Held : List<MqttUserProperty>
    {
        public TaskCompletionSource Committed { get; } = new(TaskCreationOptions.RunContinuationsAsynchronously);
    }
}
