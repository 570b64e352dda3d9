using NutrientLedger.Agronomy.Fields;
using NutrientLedger.Json;

namespace NutrientLedger.Web.Import.Farms;

/// <summary>A feature of a GeoJSON file: its line, its properties if it has any, and its boundary.</summary>
internal sealed record Feature(int Line, JsonObjectReader? Properties, Boundary Boundary);

/// <summary>
/// Reads a GeoJSON file (RFC 7946) next to the farm file, with one feature per thing. A feature without a sound
/// boundary is reported and read as one without parts.
/// </summary>
/// <param name="what">What a feature is, such as "field".</param>
/// <param name="problems">Where errors of the file are noted.</param>
internal sealed class FeatureFile(string what, FileProblems problems)
{
    /// <summary>The features. Null when the file cannot be read or is no collection.</summary>
    public async Task<IReadOnlyList<Feature>?> ReadAsync(string path, CancellationToken cancellationToken)
    {
        var notFound = $"File not found. The {what} file must be next to the farm file.";
        if (await JsonFile.ReadAsync(path, problems, cancellationToken, notFound) is not { } whole)
            return null;
        var collection = new JsonObjectReader($"the {what} file", whole, problems);
        if (!collection.IsObject || collection.Text("type") is not "FeatureCollection")
        {
            if (collection.IsObject)
                collection.AddProblem(
                    "type",
                    $"it must be a GeoJSON FeatureCollection with one feature for each {what}."
                );
            return null;
        }
        if (collection.Optional("crs") is not null)
            collection.AddProblem(
                "crs",
                "GeoJSON (RFC 7946) uses WGS84 longitude and latitude; export in WGS84 without \"crs\"."
            );
        Feature[] features = [.. collection.List("features", "feature").Select(Read)];
        if (features.Length == 0)
            collection.AddProblem("features", $"the file has no {what}; add at least one.");
        return features;
    }

    /// <summary>The day from which a feature holds, by default and at the earliest when the ledger begins.</summary>
    public static DateOnly ValidFrom(JsonObjectReader properties, DateOnly ledgerBegins)
    {
        var day = properties.Day("validFrom", ledgerBegins);
        if (day < ledgerBegins)
            properties.AddProblem(
                "validFrom",
                $"\"validFrom\" lies before the ledger begins ({ledgerBegins:yyyy-MM-dd})."
            );
        return day;
    }

    private Feature Read(JsonObjectReader feature)
    {
        if (feature.Text("type") is not ("Feature" or ""))
            feature.AddProblem("type", "\"type\" must be Feature.");
        var properties = feature.Nested("properties", what);
        var label = properties?.Label ?? what;
        var boundary = feature.Nested("geometry", label) is { } geometry
            ? new GeoJsonBoundary(label, problems).Read(geometry)
            : new Boundary([]);
        return new(feature.Line, properties, boundary);
    }
}
