using NutrientLedger.Journal.Fields;
using NutrientLedger.Json;

namespace NutrientLedger.Web.Import.Farms;

/// <summary>
/// Reads the no-spread zones of a farm from a GeoJSON file: one feature per zone, with the properties id, name, reason,
/// validFrom and validTo. Zones may overlap fields and each other.
/// </summary>
internal static class ZoneFile
{
    public static async Task<IReadOnlyList<NoSpreadZoneRegistered>> ReadAsync(
        string path,
        DateOnly ledgerBegins,
        FileProblems problems,
        CancellationToken cancellationToken
    )
    {
        var taken = new HashSet<string>();
        var features = await new FeatureFile("zone", problems).ReadAsync(path, cancellationToken) ?? [];
        return
        [
            .. features
                .Select(feature =>
                    feature.Properties is { } properties ? Zone(feature, properties, ledgerBegins, taken) : null
                )
                .OfType<NoSpreadZoneRegistered>(),
        ];
    }

    private static NoSpreadZoneRegistered Zone(
        Feature feature,
        JsonObjectReader properties,
        DateOnly ledgerBegins,
        HashSet<string> taken
    )
    {
        var id = properties.NewId(taken);
        var name = properties.Text("name");
        var reason = properties.Text("reason");
        var validFrom = FeatureFile.ValidFrom(properties, ledgerBegins);
        DateOnly? validTo = properties.Optional("validTo") is null ? null : properties.Day("validTo");
        properties.RejectUnknownMembers();
        if (validTo <= validFrom && !properties.HasProblem)
            properties.AddProblem(
                "validTo",
                "\"validTo\" must be after \"validFrom\". It is the first day without the zone."
            );
        return new(id, name, feature.Boundary, validFrom, validTo, reason);
    }
}
