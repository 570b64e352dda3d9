using NutrientLedger.Agronomy.Fields;
using NutrientLedger.Journal.Definitions;

namespace NutrientLedger.Journal.Fields;

/// <summary>
/// A farm joined the hub, with its own time zone (IANA name) and the first day of its crop year. Its ledger begins on a
/// day; readings with an older time are questionable. The coverage grid is the farm's own.
/// </summary>
public sealed record FarmRegistered(
    string Name,
    string TimeZone,
    int SeasonFirstMonth,
    int SeasonFirstDay,
    DateOnly LedgerBegins,
    CoverageGrid Grid
) : IDefinedEvent<FarmRegistered>
{
    public static EventDefinition<FarmRegistered> Definition { get; } =
        new("farm_registered", new(EventRoute.FarmFile, "farm")) { Key = _ => EntryKey.TextOf("farm") };
}
