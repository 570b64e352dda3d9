using System.Globalization;

namespace NutrientLedger.Benchmarks;

/// <summary>
/// What the comparisons of versions take on the command line: numbers by name, and the paths of other versions'
/// NutrientLedger.Hub.dll.
/// </summary>
internal sealed record BenchOptions(
    IReadOnlyList<HubVersion> Versions,
    int Rounds,
    int ReadingsASeason,
    int CheckpointSeconds
)
{
    public const string Text = "[--rounds 3] [--readings 200000] [--checkpoint-seconds 60] [PATH_OF_OTHER_HUB_DLL …]";

    /// <summary>Null when an option is unknown or its number too small.</summary>
    public static BenchOptions? Parse(IEnumerable<string> arguments)
    {
        var (rounds, readings, seconds) = (3, 200_000, 60);
        var paths = new List<string>();
        for (var left = new Queue<string>(arguments); left.TryDequeue(out var argument); )
        {
            if (!argument.StartsWith('-'))
            {
                paths.Add(argument);
                continue;
            }
            if (
                !left.TryDequeue(out var text)
                || !int.TryParse(text, NumberStyles.None, CultureInfo.InvariantCulture, out var number)
                || number < (argument is "--readings" ? 10_000 : 1)
            )
                return null;
            switch (argument)
            {
                case "--rounds":
                    rounds = number;
                    break;
                case "--readings":
                    readings = number;
                    break;
                case "--checkpoint-seconds":
                    seconds = number;
                    break;
                default:
                    return null;
            }
        }
        return paths.TrueForAll(File.Exists) ? new(HubVersion.All(paths), rounds, readings, seconds) : null;
    }
}
