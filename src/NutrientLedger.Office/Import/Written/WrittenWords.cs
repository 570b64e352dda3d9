using System.Text.Json;
using NutrientLedger.Agronomy.Written;
using NutrientLedger.Journal;

namespace NutrientLedger.Office.Import.Written;

/// <summary>Reads names, ids and choices out of a farm file.</summary>
internal static class WrittenWords
{
    private const int LongestText = 200;

    /// <summary>A text of 1 to 200 characters that must be there.</summary>
    public static string Text(this WrittenObject from, string property)
    {
        if (from.Required(property) is not { } value)
            return "";
        if (value.Kind == JsonTokenType.String && value.Text.Trim() is { Length: > 0 and <= LongestText } text)
            return text;
        from.Problem(
            property,
            $"\"{property}\" must be a text of 1 to {LongestText} characters, not {value.KindInWords}."
        );
        return "";
    }

    /// <summary>A text that may be left out.</summary>
    public static string? OptionalText(this WrittenObject from, string property) =>
        from.Optional(property) is null ? null : from.Text(property);

    /// <summary>An id: lower-case letters, digits and hyphens, at most 40 of them, as it also stands in message topics.</summary>
    public static string Id(this WrittenObject from, string property)
    {
        if (from.Required(property) is not { } value)
            return "";
        if (value.Kind == JsonTokenType.String && GivenId.IsOne(value.Text))
            return value.Text;
        from.Problem(
            property,
            $"\"{property}\" must be an id of 1 to {GivenId.LengthMax} lower-case letters, digits and hyphens, not {value.KindInWords}."
        );
        return "";
    }

    /// <summary>An id that must not have been used for the same kind of thing before.</summary>
    public static string NewId(this WrittenObject from, ISet<string> taken)
    {
        var id = from.Id("id");
        if (id.Length > 0 && !taken.Add(id))
            from.Problem("id", "this id stands twice in the file; give each its own.");
        return id;
    }

    /// <summary>The id of something else in the file, or on the farm; nothing is checked when that part could not be read.</summary>
    public static string KnownId(
        this WrittenObject from,
        string property,
        string kind,
        IReadOnlySet<string>? known,
        string where = "in the file"
    )
    {
        var id = from.Id(property);
        if (id.Length == 0 || known is null || known.Contains(id))
            return id;
        var there = known.Count == 0 ? "none" : string.Join(", ", known.Order(StringComparer.Ordinal));
        from.Problem(property, $"\"{property}\" names the {kind} \"{id}\", which is not {where}; there: {there}.");
        return id;
    }

    /// <summary>One of a few fixed words.</summary>
    public static TChoice Choice<TChoice>(
        this WrittenObject from,
        string property,
        params (string Word, TChoice Meaning)[] words
    )
        where TChoice : struct
    {
        if (from.Required(property) is not { } value)
            return default;
        foreach (var (word, meaning) in words)
            if (value.Kind == JsonTokenType.String && value.Text == word)
                return meaning;
        from.Problem(
            property,
            $"\"{property}\" must be one of {string.Join(", ", words.Select(word => word.Word))}, not {value.KindInWords}."
        );
        return default;
    }
}
