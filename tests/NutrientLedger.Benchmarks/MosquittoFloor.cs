using System.Diagnostics;
using System.Net;
using System.Net.Sockets;
using MQTTnet;
using MQTTnet.Protocol;

namespace NutrientLedger.Benchmarks;

/// <summary>
/// The floor without storage: mosquitto without persistence, from the devices to one subscriber that acknowledges and
/// counts.
/// </summary>
internal sealed class MosquittoFloor : IAsyncDisposable
{
    private static readonly string[] Places =
    [
        "/usr/sbin/mosquitto",
        "/usr/local/sbin/mosquitto",
        "/usr/bin/mosquitto",
    ];

    private readonly string folder = Directory.CreateTempSubdirectory("nutrient-ledger-bench-mosquitto-").FullName;
    private readonly IMqttClient subscriber = new MqttClientFactory().CreateMqttClient();
    private readonly Process process;
    private readonly int port;
    private int left;
    private TaskCompletionSource arrived = new();

    private MosquittoFloor()
    {
        var program =
            Places.FirstOrDefault(File.Exists)
            ?? throw new FileNotFoundException("mosquitto is not installed: apt-get install mosquitto");
        using (var free = new TcpListener(IPAddress.Loopback, 0))
        {
            free.Start();
            port = ((IPEndPoint)free.LocalEndpoint).Port;
        }
        var settings = Path.Combine(folder, "mosquitto.conf");
        File.WriteAllText(
            settings,
            $"""
            listener {port} 127.0.0.1
            allow_anonymous true
            persistence false
            max_inflight_messages 256
            max_queued_messages 1000000
            user {Environment.UserName}
            """
        );
        process = Process.Start(
            new ProcessStartInfo(program, ["-c", settings])
            {
                RedirectStandardError = true,
                RedirectStandardOutput = true,
            }
        )!;
        process.BeginErrorReadLine();
        process.BeginOutputReadLine();
    }

    public static async Task<MosquittoFloor> StartAsync()
    {
        var floor = new MosquittoFloor();
        floor.subscriber.ApplicationMessageReceivedAsync += _ =>
        {
            if (Interlocked.Decrement(ref floor.left) == 0)
                floor.arrived.SetResult();
            return Task.CompletedTask;
        };
        // The first device waits for the broker to listen.
        using (var first = await Devices.ConnectAsync(floor.port, applicator: 0))
            await first.DisconnectAsync(new MqttClientDisconnectOptions());
        await floor.subscriber.ConnectAsync(Devices.OptionsOf(floor.port, "subscriber"));
        await floor.subscriber.SubscribeAsync("agri/v1/#", MqttQualityOfServiceLevel.AtLeastOnce);
        return floor;
    }

    /// <summary>
    /// The time until all messages are acknowledged to their devices and have reached the subscriber.
    /// </summary>
    public Task<TimeSpan> RunAsync(byte[][][] messages)
    {
        arrived = new(TaskCreationOptions.RunContinuationsAsynchronously);
        left = messages.Sum(own => own.Length);
        return Devices.SendAllAsync(port, messages, arrived.Task);
    }

    public async ValueTask DisposeAsync()
    {
        subscriber.Dispose();
        process.Kill();
        await process.WaitForExitAsync();
        process.Dispose();
        Directory.Delete(folder, recursive: true);
    }
}
