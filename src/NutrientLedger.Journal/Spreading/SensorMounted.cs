using NutrientLedger.Journal.Definitions;

namespace NutrientLedger.Journal.Spreading;

/// <summary>Where a sensor sits.</summary>
public enum SensorPlace
{
    /// <summary>In the line on the applicator itself. No delay between sensor and ground.</summary>
    OnApplicator = 1,

    /// <summary>At the pump, a hose away from the ground. Its readings are kept, but not placed.</summary>
    AtPump = 2,

    /// <summary>In or over a pit, measuring its level.</summary>
    InPit = 3,
}

/// <summary>
/// From a moment on a sensor sits at a place. <see cref="HostId"/> names the applicator or pit.
/// <see cref="EquipmentId"/> names the device that sends its readings. <see cref="HoseMillilitres"/> is the volume of
/// the full hose between sensor and ground, in mL above 0. It is null when unknown.
/// </summary>
public sealed record SensorMounted(
    string SensorId,
    string EquipmentId,
    SensorPlace Place,
    string HostId,
    DateTimeOffset ValidFrom,
    long? HoseMillilitres = null
) : IDefinedEvent<SensorMounted>
{
    public static EventDefinition<SensorMounted> Definition { get; } =
        new("sensor_mounted", new(EventRoute.FarmFile, "sensors"))
        {
            Scope = sensor =>
                [
                    sensor.Place == SensorPlace.InPit
                        ? new RebuildScope.Levels()
                        : new RebuildScope.WorkOf(sensor.EquipmentId, sensor.ValidFrom),
                ],
            Subject = sensor => sensor.SensorId,
            Key = sensor => EntryKey.TextOf(sensor.SensorId, sensor.ValidFrom),
        };
}
