using System.IO.Compression;
using System.Text;
using System.Text.Json;
using System.Text.RegularExpressions;

namespace NutrientLedger.Demo;

/// <summary>
/// One recorded message: when its device sent it (ms since 1970), its topic, and its payload as sent.
/// </summary>
public sealed record DemoMessage(long SendAtMilliseconds, string Topic, byte[] Payload);

/// <summary>
/// The recorded season in demo-streams: compressed files per device, messages in the order they were sent.
/// </summary>
public static partial class DemoStreams
{
    /// <summary>The farm file that belongs to the recorded season.</summary>
    public const string FarmFile = "larch-hollow.json";

    /// <summary>The hand records of the recorded season.</summary>
    public const string RecordsFile = "larch-hollow-records.json";

    /// <summary>Finds the folder demo-streams above the working directory or above the program.</summary>
    /// <exception cref="DemoStreamsException">There is no such folder.</exception>
    public static string Find() =>
        Above(Environment.CurrentDirectory).Concat(Above(AppContext.BaseDirectory)).FirstOrDefault(HoldsFarm)
        ?? throw new DemoStreamsException(
            "Folder demo-streams not found. Run the demo from the checkout, or set --streams."
        );

    /// <summary>The folder, if it holds a recorded season.</summary>
    /// <exception cref="DemoStreamsException">It holds none.</exception>
    public static string Require(string folder) =>
        HoldsFarm(folder)
            ? folder
            : throw new DemoStreamsException($"No recorded season in {folder}: {FarmFile} is missing.");

    /// <summary>The files of each device in recorded order. A file is named [day-]device.jsonl.gz.</summary>
    /// <exception cref="DemoStreamsException">There are no streams.</exception>
    public static IReadOnlyList<(string Device, IReadOnlyList<string> Files)> Devices(string folder)
    {
        var streams = Path.Combine(folder, "streams");
        var devices = (Directory.Exists(streams) ? Directory.EnumerateFiles(streams, "*.jsonl.gz") : [])
            .Order(StringComparer.Ordinal)
            .GroupBy(file => Day().Replace(Path.GetFileName(file), "").Split('.')[0])
            .Select(files => (files.Key, (IReadOnlyList<string>)[.. files]))
            .ToArray();
        return devices.Length > 0
            ? devices
            : throw new DemoStreamsException($"No recorded streams (*.jsonl.gz) in {streams}.");
    }

    /// <summary>Reads the messages of one device.</summary>
    public static async IAsyncEnumerable<DemoMessage> ReadAsync(IEnumerable<string> files)
    {
        foreach (var file in files)
        {
            await using var compressed = File.OpenRead(file);
            await using var plain = new GZipStream(compressed, CompressionMode.Decompress);
            using var lines = new StreamReader(plain, Encoding.UTF8);
            while (await lines.ReadLineAsync() is { } line)
                yield return Read(line);
        }
    }

    private static DemoMessage Read(string line)
    {
        using var message = JsonDocument.Parse(line);
        var root = message.RootElement;
        return new(
            root.GetProperty("sendAt").GetInt64(),
            root.GetProperty("topic").GetString()!,
            Encoding.UTF8.GetBytes(root.GetProperty("payload").GetRawText())
        );
    }

    [GeneratedRegex(@"^\d{4}-\d\d-\d\d-")]
    private static partial Regex Day();

    private static bool HoldsFarm(string folder) => File.Exists(Path.Combine(folder, FarmFile));

    private static IEnumerable<string> Above(string start)
    {
        for (var at = new DirectoryInfo(start); at is not null; at = at.Parent)
            yield return Path.Combine(at.FullName, "demo-streams");
    }
}
