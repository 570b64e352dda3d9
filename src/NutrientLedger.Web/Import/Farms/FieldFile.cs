using NutrientLedger.Json;

namespace NutrientLedger.Web.Import.Farms;

/// <summary>
/// Reads the fields of a farm from a GeoJSON file: one feature per field, with the properties id, name, validFrom and
/// changeReason.
/// </summary>
internal static class FieldFile
{
    public static async Task<IReadOnlyList<FieldFeature>?> ReadAsync(
        string path,
        DateOnly ledgerBegins,
        FileProblems problems,
        CancellationToken cancellationToken
    )
    {
        var taken = new HashSet<string>();
        var features = await new FeatureFile("field", problems).ReadAsync(path, cancellationToken);
        return features?.Select(feature => Field(feature, ledgerBegins, taken)).ToArray();
    }

    private static FieldFeature Field(Feature feature, DateOnly ledgerBegins, HashSet<string> taken)
    {
        if (feature.Properties is not { } properties)
            return new(feature.Line, new("", "", feature.Boundary, ledgerBegins), null);
        var id = properties.NewId(taken);
        var name = properties.Text("name");
        var validFrom = FeatureFile.ValidFrom(properties, ledgerBegins);
        var reason = properties.OptionalText("changeReason");
        properties.RejectUnknownMembers();
        return new(feature.Line, new(id, name, feature.Boundary, validFrom), reason);
    }
}
