using System.Text.Json;
using NutrientLedger.Journal;
using NutrientLedger.Json;

namespace NutrientLedger.Web.Import;

/// <summary>Reads ids of farms, fields and equipment out of a JSON file that a person wrote.</summary>
internal static class JsonIds
{
    /// <summary>
    /// An id: lower-case letters, digits and hyphens, at most 40 of them, as it also stands in message topics.
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

    /// <summary>An id that must not have been used for the same kind of thing before.</summary>
    public static string NewId(this JsonObjectReader source, ISet<string> taken)
    {
        var id = source.Id("id");
        if (id.Length > 0 && !taken.Add(id))
            source.AddProblem("id", "this id stands twice in the file; give each its own.");
        return id;
    }

    /// <summary>
    /// The id of something else in the file, or on the farm; nothing is checked when that part could not be read.
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
