using System.Text.Json;
using NutrientLedger.Journal;
using NutrientLedger.Json;

namespace NutrientLedger.Web.Import;

/// <summary>Reads ids of farms, fields and equipment from a hand-written JSON file.</summary>
internal static class JsonIds
{
    /// <summary>
    /// An id of at most 40 lower-case letters, digits and hyphens, because it is also used in topics.
    /// </summary>
    public static string Id(this JsonObjectReader source, string property)
    {
        if (source.Required(property) is not { } value)
            return "";
        if (value.Kind == JsonTokenType.String && GivenId.IsValid(value.Text))
            return value.Text;
        source.AddProblem(
            property,
            $"\"{property}\" must be an id of 1 to {GivenId.LengthMax} lower-case letters, digits and hyphens, not {value.KindInWords}."
        );
        return "";
    }

    /// <summary>An id that is not yet taken by something of the same kind.</summary>
    public static string NewId(this JsonObjectReader source, ISet<string> taken)
    {
        var id = source.Id("id");
        if (id.Length > 0 && !taken.Add(id))
            source.AddProblem("id", "this id appears twice in the file; give each its own.");
        return id;
    }

    /// <summary>
    /// The id of something else in the file or on the farm. Not checked when that part could not be read.
    /// </summary>
    public static string KnownId(
        this JsonObjectReader source,
        string property,
        string kind,
        IReadOnlySet<string>? known,
        string where = "in the file"
    )
    {
        var id = source.Id(property);
        if (id.Length == 0 || known is null || known.Contains(id))
            return id;
        var there = known.Count == 0 ? "none" : string.Join(", ", known.Order(StringComparer.Ordinal));
        source.AddProblem(property, $"\"{property}\" names the {kind} \"{id}\", which is not {where}; there: {there}.");
        return id;
    }
}
