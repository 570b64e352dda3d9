using NutrientLedger.Journal.Spreading;
using NutrientLedger.Journal.Storage;
using NutrientLedger.Journal.Weather;
using NutrientLedger.Ledger.Configuration;
using NutrientLedger.Persistence.Messages;
using NutrientLedger.Persistence.ReceivedRanges;

namespace NutrientLedger.Persistence.Appending;

/// <summary>
/// The boots of a device that replaced another one under its name. They are stored above those of the devices before.
/// </summary>
internal static class ReplacedDevice
{
    /// <summary>A message with the boots under which it is stored.</summary>
    public static DecodedMessage Stored(DecodedMessage arrived, FarmConfiguration configuration)
    {
        var first = configuration.FirstBoot(DeviceAppend.KeyOf(arrived).EquipmentId);
        return first == 0
            ? arrived
            : arrived with
            {
                Event = arrived.Event switch
                {
                    SpreadingMeasured it => new SpreadingMeasured(it.Batch with { Boot = first + it.Batch.Boot }),
                    StorageLevelMeasured it => new StorageLevelMeasured(it.Batch with { Boot = first + it.Batch.Boot }),
                    WeatherMeasured it => new WeatherMeasured(it.Batch with { Boot = first + it.Batch.Boot }),
                    var other => other,
                },
                PreviousBoot = arrived.PreviousBoot is { } last ? last with { Boot = first + last.Boot } : null,
            };
    }

    /// <summary>
    /// Where the same numbers of the devices before are stored. What an old device sent may still arrive again.
    /// </summary>
    public static IEnumerable<SequenceKey> Earlier(SequenceKey key, FarmConfiguration configuration)
    {
        long[] firstBoots = [.. configuration.FirstBoots(key.EquipmentId)];
        var own = key.Boot - firstBoots[^1];
        return firstBoots
            .Zip(firstBoots.Skip(1))
            .Where(device => device.First + own < device.Second)
            .Select(device => key with { Boot = device.First + own });
    }
}
