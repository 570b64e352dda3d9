using NutrientLedger.Journal.Definitions;

namespace NutrientLedger.Journal.Readings;

/// <summary>
/// A person said that a new device sends under an old one's name and counts anew. From then on a message with boot b is
/// stored as boot <see cref="FirstBoot"/> + b. It lies above every boot stored before, so no number meets an old one.
/// </summary>
public sealed record DeviceReplaced(string EquipmentId, long FirstBoot, string By, string Reason)
    : IDefinedEvent<DeviceReplaced>
{
    public static EventDefinition<DeviceReplaced> Definition { get; } =
        new("device_replaced", new(EventRoute.Decision, "devices"))
        {
            Changes = EventChanges.Nothing,
            Subject = replaced => replaced.EquipmentId,
        };
}
