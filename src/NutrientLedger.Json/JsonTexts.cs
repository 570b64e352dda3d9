using System.Text.Json;

namespace NutrientLedger.Json;

/// <summary>Reads texts and choices from a hand-written JSON file.</summary>
public static class JsonTexts
{
    private const int TextLengthMax = 200;

    /// <summary>A required text of 1 to 200 characters.</summary>
    public static string Text(this JsonObjectReader source, string property)
    {
        if (source.Required(property) is not { } value)
            return "";
        if (value.Kind == JsonTokenType.String && value.Text.Trim() is { Length: > 0 and <= TextLengthMax } text)
            return text;
        source.AddProblem(
            property,
            $"\"{property}\" must be a text of 1 to {TextLengthMax} characters, not {value.KindInWords}."
        );
        return "";
    }

    /// <summary>A text of 1 to 200 characters. Optional.</summary>
    public static string? OptionalText(this JsonObjectReader source, string property) =>
        source.Optional(property) is null ? null : source.Text(property);

    /// <summary>One of a few fixed words.</summary>
    public static TChoice Choice<TChoice>(
        this JsonObjectReader source,
        string property,
        params (string Word, TChoice Meaning)[] words
    )
        where TChoice : struct
    {
        if (source.Required(property) is not { } value)
            return default;
        foreach (var (word, meaning) in words)
            if (value.Kind == JsonTokenType.String && value.Text == word)
                return meaning;
        source.AddProblem(
            property,
            $"\"{property}\" must be one of {string.Join(", ", words.Select(word => word.Word))}, not {value.KindInWords}."
        );
        return default;
    }
}
