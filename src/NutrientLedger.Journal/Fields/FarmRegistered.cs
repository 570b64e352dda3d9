using NutrientLedger.Agronomy.Fields;
using NutrientLedger.Journal.Definitions;

namespace NutrientLedger.Journal.Fields;

/// <summary>
/// A farm joined the hub: its own time zone (IANA name), the first day of its crop year, the day its ledger begins
/// (readings that claim to be older are doubtful) and its coverage lattice.
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
        new("farm_registered", new(EventRoute.FarmFile, "farm")) { Key = _ => "farm" };
}
