using NutrientLedger.Journal.Spreading;
using NutrientLedger.Json;
using NutrientLedger.Ledger.Configuration;

namespace NutrientLedger.Web.Import.Farms;

/// <summary>
/// Sensors that would be mounted in one place from the same moment, at least one of them by an earlier import. Only one
/// can count, and which one must not depend on the order of imports.
/// </summary>
internal static class MountingClashes
{
    public static void Report(FarmConfiguration configuration, FileProblems problems)
    {
        foreach (var place in configuration.Sensors.SelectMany(Places).GroupBy(it => it.Place, it => it.Sensor))
        {
            string[] sensors = [.. place.Select(sensor => $"\"{sensor.SensorId}\"").Order(StringComparer.Ordinal)];
            if (sensors.Length > 1)
                problems.Add(
                    0,
                    $"sensors {string.Join(" and ", sensors)} would both count for \"{place.Key.At}\" from {place.Key.From:O}. "
                        + "Keep one in the file, and take back the other with --withdraw if it is no longer in the file."
                );
        }
    }

    /// <summary>A device sends for one sensor, and a pit has one level sensor.</summary>
    private static IEnumerable<((string Kind, string At, DateTimeOffset From) Place, SensorMounted Sensor)> Places(
        SensorMounted sensor
    )
    {
        if (sensor.Place == SensorPlace.InPit)
            yield return (("pit", sensor.HostId, sensor.ValidFrom), sensor);
        var kind = sensor.Place == SensorPlace.InPit ? "level" : "content";
        yield return ((kind, sensor.EquipmentId, sensor.ValidFrom), sensor);
    }
}
