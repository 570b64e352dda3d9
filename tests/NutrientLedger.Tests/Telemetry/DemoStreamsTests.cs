using System.Collections.Concurrent;
using System.IO.Compression;
using System.Text;
using System.Text.Json;
using NutrientLedger.Telemetry;

namespace NutrientLedger.Tests.Telemetry;

/// <summary>The generator of the demo farm's streams shares no code with this decoder.</summary>
public sealed class DemoStreamsTests
{
    [Fact]
    public void Every_message_of_the_demo_farm_is_read_whole()
    {
        var files = Directory.GetFiles(Folder(), "*.jsonl.gz");
        var complaints = new ConcurrentQueue<string>();
        var read = 0;

        Parallel.ForEach(
            files,
            file =>
            {
                using var lines = new StreamReader(new GZipStream(File.OpenRead(file), CompressionMode.Decompress));
                while (lines.ReadLine() is { } line)
                {
                    using var message = JsonDocument.Parse(line);
                    var topic = message.RootElement.GetProperty("topic").GetString()!;
                    var payload = Encoding.UTF8.GetBytes(message.RootElement.GetProperty("payload").GetRawText());
                    if (
                        MessageDecoder.Decode(topic, null, payload) is DecodeResult.Decoded
                        {
                            UnknownRecords: 0,
                            ValuesLeftOut: 0
                        }
                    )
                        Interlocked.Increment(ref read);
                    else
                        complaints.Enqueue($"{file}: {MessageDecoder.Decode(topic, null, payload)}");
                }
            }
        );

        Assert.Empty(complaints);
        Assert.InRange(read, 10_000, 1_000_000);
    }

    private static string Folder()
    {
        var at = new DirectoryInfo(AppContext.BaseDirectory);
        while (!Directory.Exists(Path.Combine(at.FullName, "demo-streams")))
            at = at.Parent ?? throw new InvalidOperationException("demo-streams is not above the test folder.");
        return Path.Combine(at.FullName, "demo-streams", "streams");
    }
}
