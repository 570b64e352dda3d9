namespace NutrientLedger.Journal.Spreading;

/// <summary>
/// What <see cref="SensorMounted"/> says, and how many mL the full hose between sensor and ground holds (above 0). A shape of its
/// own beside the older one, which says nothing of the hose and is read for ever.
/// </summary>
public sealed record SensorMountedWithHose(
    string SensorId,
    string EquipmentId,
    SensorPlace Place,
    string HostId,
    DateTimeOffset ValidFrom,
    long HoseMillilitres
) : IJournalEvent;
