using NutrientLedger.Journal;
using NutrientLedger.Journal.Spreading;

namespace NutrientLedger.Ledger.Configuration;

/// <summary>
/// That a sensor sits somewhere from a moment on, in whichever shape the journal holds it. The hose (mL) between sensor and ground
/// is nothing where nobody told of it, as in the older shape.
/// </summary>
public sealed record MountedSensor(
    string SensorId,
    string EquipmentId,
    SensorPlace Place,
    string HostId,
    DateTimeOffset ValidFrom,
    long? HoseMillilitres
)
{
    /// <summary>The one place where the shapes of a mounting become one; nothing for every other entry.</summary>
    public static MountedSensor? Of(IJournalEvent @event) =>
        @event switch
        {
            SensorMounted m => new(m.SensorId, m.EquipmentId, m.Place, m.HostId, m.ValidFrom, null),
            SensorMountedWithHose m => new(
                m.SensorId,
                m.EquipmentId,
                m.Place,
                m.HostId,
                m.ValidFrom,
                m.HoseMillilitres
            ),
            _ => null,
        };
}
