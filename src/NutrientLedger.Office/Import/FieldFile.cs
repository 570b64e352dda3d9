using NutrientLedger.Agronomy.Fields;
using NutrientLedger.Agronomy.Written;
using NutrientLedger.Office.Import.Written;

namespace NutrientLedger.Office.Import;

/// <summary>Reads the fields of a farm from a GeoJSON file (RFC 7946): one feature a field, with the properties id, name and validFrom.</summary>
internal static class FieldFile
{
    public static async Task<IReadOnlyList<FieldSheet>?> ReadAsync(
        string path,
        DateOnly ledgerBegins,
        ProblemSheet problems,
        CancellationToken cancellationToken
    )
    {
        if (await WrittenFile.ReadAsync(path, problems, cancellationToken) is not { } whole)
            return null;
        var collection = new WrittenObject("the field file", whole, problems);
        if (!collection.IsObject || collection.Text("type") is not "FeatureCollection")
        {
            if (collection.IsObject)
                collection.Problem("type", "it must be a GeoJSON FeatureCollection with one feature for each field.");
            return null;
        }
        if (collection.Optional("crs") is not null)
            collection.Problem(
                "crs",
                "RFC 7946 knows only WGS84 longitude and latitude; export the fields in it and leave \"crs\" out."
            );
        var taken = new HashSet<string>();
        FieldSheet[] fields =
        [
            .. collection.List("features", "feature").Select(it => Feature(it, ledgerBegins, taken, problems)),
        ];
        if (fields.Length == 0)
            collection.Problem("features", "there is no field in it; draw at least one.");
        return fields;
    }

    private static FieldSheet Feature(
        WrittenObject feature,
        DateOnly ledgerBegins,
        HashSet<string> taken,
        ProblemSheet problems
    )
    {
        if (feature.Text("type") is not ("Feature" or ""))
            feature.Problem("type", "\"type\" must be Feature.");
        var (id, name, validFrom, because) = ("", "", ledgerBegins, (string?)null);
        if (feature.Nested("properties", "field") is { } properties)
        {
            id = properties.NewId(taken);
            name = properties.Text("name");
            validFrom = properties.Day("validFrom", ledgerBegins);
            because = properties.OptionalText("changedBecause");
            properties.NothingElse();
            if (validFrom < ledgerBegins)
                properties.Problem(
                    "validFrom",
                    $"\"validFrom\" lies before the ledger begins ({ledgerBegins:yyyy-MM-dd})."
                );
        }
        var label = id.Length == 0 ? "field" : $"field \"{id}\"";
        var boundary = feature.Nested("geometry", label) is { } geometry
            ? new WrittenBoundary(label, problems).Read(geometry)
            : new Boundary([]);
        return new(feature.Line, new(id, name, boundary, validFrom), because);
    }
}
