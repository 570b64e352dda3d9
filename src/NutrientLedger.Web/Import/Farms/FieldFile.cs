using NutrientLedger.Agronomy.Fields;
using NutrientLedger.Json;

namespace NutrientLedger.Web.Import.Farms;

/// <summary>
/// Reads the fields of a farm from a GeoJSON file (RFC 7946): one feature per field, with the properties id, name and
/// validFrom.
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
        const string notFound = "File not found. The field file must be next to the farm file.";
        if (await JsonFile.ReadAsync(path, problems, cancellationToken, notFound) is not { } whole)
            return null;
        var collection = new JsonObjectReader("the field file", whole, problems);
        if (!collection.IsObject || collection.Text("type") is not "FeatureCollection")
        {
            if (collection.IsObject)
                collection.AddProblem(
                    "type",
                    "it must be a GeoJSON FeatureCollection with one feature for each field."
                );
            return null;
        }
        if (collection.Optional("crs") is not null)
            collection.AddProblem(
                "crs",
                "GeoJSON (RFC 7946) uses WGS84 longitude and latitude; export in WGS84 without \"crs\"."
            );
        var taken = new HashSet<string>();
        FieldFeature[] fields =
        [
            .. collection.List("features", "feature").Select(it => Feature(it, ledgerBegins, taken, problems)),
        ];
        if (fields.Length == 0)
            collection.AddProblem("features", "the file has no field; add at least one.");
        return fields;
    }

    private static FieldFeature Feature(
        JsonObjectReader feature,
        DateOnly ledgerBegins,
        HashSet<string> taken,
        FileProblems problems
    )
    {
        if (feature.Text("type") is not ("Feature" or ""))
            feature.AddProblem("type", "\"type\" must be Feature.");
        var (id, name, validFrom, reason) = ("", "", ledgerBegins, (string?)null);
        if (feature.Nested("properties", "field") is { } properties)
        {
            id = properties.NewId(taken);
            name = properties.Text("name");
            validFrom = properties.Day("validFrom", ledgerBegins);
            reason = properties.OptionalText("changeReason");
            properties.RejectUnknownMembers();
            if (validFrom < ledgerBegins)
                properties.AddProblem(
                    "validFrom",
                    $"\"validFrom\" lies before the ledger begins ({ledgerBegins:yyyy-MM-dd})."
                );
        }
        var label = id.Length == 0 ? "field" : $"field \"{id}\"";
        var boundary = feature.Nested("geometry", label) is { } geometry
            ? new GeoJsonBoundary(label, problems).Read(geometry)
            : new Boundary([]);
        return new(feature.Line, new(id, name, boundary, validFrom), reason);
    }
}
