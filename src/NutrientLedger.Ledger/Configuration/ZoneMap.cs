using NutrientLedger.Agronomy.Fields;
using NutrientLedger.Journal.Fields;

namespace NutrientLedger.Ledger.Configuration;

/// <summary>All no-spread zones that are in force together.</summary>
internal sealed class ZoneMap
{
    private readonly (BoundaryBox Box, Boundary Boundary)[] zones;

    private ZoneMap(IEnumerable<Boundary> boundaries) =>
        zones = [.. boundaries.Select(boundary => (BoundaryBox.Around(boundary), boundary))];

    /// <summary>The maps of a farm, one for each moment at which any zone begins or ends.</summary>
    public static Timeline<ZoneMap> OverTime(IReadOnlyCollection<NoSpreadZoneRegistered> zones, FarmCalendar calendar)
    {
        var spans = zones
            .Select(zone =>
                (
                    From: calendar.StartOf(zone.ValidFrom),
                    To: zone.ValidTo is { } day ? calendar.StartOf(day) : long.MaxValue,
                    zone.Boundary
                )
            )
            .ToArray();
        return new(
            spans
                .SelectMany(span => new[] { span.From, span.To })
                .Distinct()
                .Select(moment => (moment, new ZoneMap(InForce(moment))))
        );

        IEnumerable<Boundary> InForce(long moment) =>
            spans.Where(span => span.From <= moment && moment < span.To).Select(span => span.Boundary);
    }

    /// <summary>Whether a point lies in at least one zone.</summary>
    public bool Holds(GeoPoint point)
    {
        foreach (var (box, boundary) in zones)
            if (box.Holds(point) && BoundaryLocation.Holds(boundary, point))
                return true;
        return false;
    }
}
