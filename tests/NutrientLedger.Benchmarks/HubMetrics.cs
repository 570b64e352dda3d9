using System.Globalization;

namespace NutrientLedger.Benchmarks;

/// <summary>Reads the hub's measurements from the text of /metrics.</summary>
internal static class HubMetrics
{
    /// <summary>The values under a name, one a set of labels; none when the hub does not know it.</summary>
    public static IEnumerable<double?> Values(string metrics, string name) =>
        metrics
            .Split('\n')
            .Where(line => line.StartsWith($"{name}{{", StringComparison.Ordinal))
            .Select(line => line[(line.IndexOf('}') + 1)..].Trim().Split(' ')[0])
            .Select(value => (double?)double.Parse(value, CultureInfo.InvariantCulture));
}
