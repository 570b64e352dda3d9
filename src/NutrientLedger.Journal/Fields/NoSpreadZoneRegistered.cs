using NutrientLedger.Agronomy.Fields;
using NutrientLedger.Journal.Definitions;

namespace NutrientLedger.Journal.Fields;

/// <summary>
/// A no-spread zone was registered: a strip along water, a well, a sink hole. It is in force from a day on (farm time)
/// to before another one, or for good when that is null. Registered again under the same id it replaces the zone.
/// </summary>
public sealed record NoSpreadZoneRegistered(
    string ZoneId,
    string Name,
    Boundary Boundary,
    DateOnly ValidFrom,
    DateOnly? ValidTo,
    string Reason
) : IDefinedEvent<NoSpreadZoneRegistered>
{
    public static EventDefinition<NoSpreadZoneRegistered> Definition { get; } =
        new("no_spread_zone_registered", new(EventRoute.FarmFile, "noSpreadZones"))
        {
            Scope = zone => [new RebuildScope.GroundWithin(zone.Boundary, zone.ValidFrom)],
            Subject = zone => zone.ZoneId,
            Key = zone => EntryKey.TextOf(zone.ZoneId),
        };
}
