using System.Collections.Immutable;
using System.Globalization;
using System.Text.Json;
using NutrientLedger.Agronomy.Factors.Conditions;
using NutrientLedger.Json;

namespace NutrientLedger.Agronomy.Factors.Files;

/// <summary>
/// Reads words and numbers from a factor file. A wrong value becomes a problem that names what was expected.
/// </summary>
internal static class FactorValues
{
    public static string Text(this JsonObjectReader from, string property) =>
        from.Required(property) is { } value ? from.TextOf(property, value) : "";

    public static string? OptionalText(this JsonObjectReader from, string property) =>
        from.Optional(property) is { } value ? from.TextOf(property, value) : null;

    public static double? OptionalNumber(this JsonObjectReader from, string property, double min, double max)
    {
        if (from.Optional(property) is not { } value)
            return null;
        if (Number(value) is { } number && number >= min && number <= max)
            return number;
        var upTo = max < double.MaxValue ? $" to {max}" : " up";
        from.Expected(property, string.Create(CultureInfo.InvariantCulture, $"a number from {min}{upTo}"), value);
        return null;
    }

    public static int? OptionalYear(this JsonObjectReader from, string property)
    {
        if (from.Optional(property) is not { } value)
            return null;
        if (Number(value) is { } year && year is >= 1800 and <= 2999 && double.IsInteger(year))
            return (int)year;
        from.Expected(property, "a year such as 2026", value);
        return null;
    }

    public static T Word<T>(this JsonObjectReader from, string property)
        where T : struct, Enum
    {
        if (from.Required(property) is not { } value)
            return default;
        var known = Words.Parse<T>(value.Text.Replace(' ', '-'));
        if (known is null || value.Kind != JsonTokenType.String)
            from.Expected(property, $"one of {string.Join(", ", Words.All<T>())}", value);
        return known ?? default;
    }

    /// <summary>One text or a list of texts. A list that is left out is empty.</summary>
    public static ImmutableArray<string> Texts(this JsonObjectReader from, string property)
    {
        if (from.Optional(property) is not { } value)
            return [];
        var items = value.Kind == JsonTokenType.StartArray ? value.Items : [value];
        if (items.Count > 0 && items.All(item => item.Kind == JsonTokenType.String && item.Text.Length > 0))
            return [.. items.Select(item => item.Text)];
        from.Expected(property, "a text or a list of texts", value);
        return [];
    }

    public static Interval? Range(this JsonObjectReader from, string property)
    {
        if (from.Optional(property) is not { } value)
            return null;
        var range = Number(value) is { } number ? Interval.Just(number) : Interval.Parse(value.Text);
        if (range is null)
            from.Expected(property, "a number, \"never\" or a range such as \"[0,24]\" or \"(24,48]\"", value);
        return range;
    }

    public static void Expected(this JsonObjectReader from, string property, string what, PositionedJsonValue value) =>
        from.AddProblem(property, $"\"{property}\" must be {what}, not {value.KindInWords}.");

    private static string TextOf(this JsonObjectReader from, string property, PositionedJsonValue value)
    {
        if (value.Kind == JsonTokenType.String && value.Text.Length > 0)
            return value.Text;
        from.Expected(property, "a text that is not empty", value);
        return "";
    }

    private static double? Number(PositionedJsonValue value) =>
        value.Kind == JsonTokenType.Number
        && double.TryParse(value.Text, NumberStyles.Float, CultureInfo.InvariantCulture, out var number)
        && double.IsFinite(number)
            ? number
            : null;
}
