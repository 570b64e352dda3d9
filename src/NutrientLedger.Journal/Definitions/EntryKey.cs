using System.Globalization;
using System.Text.Json;

namespace NutrientLedger.Journal.Definitions;

/// <summary>
/// What an entry of a farm file answers: the stored name of its event, and a text that tells it from its like. The
/// journal holds these texts where an entry is withdrawn, so they never change once a version is released.
/// </summary>
public readonly record struct EntryKey(string Entry, string Text)
{
    /// <summary>
    /// The text of a key's parts, with a space between them. Moments are in UTC, so that one moment has one text. A
    /// missing part stands for all, as "*", which is no id.
    /// </summary>
    public static string TextOf(params object?[] parts) => string.Join(' ', parts.Select(PartText));

    private static string PartText(object? part) =>
        part switch
        {
            null => "*",
            string id => id,
            int season => season.ToString(CultureInfo.InvariantCulture),
            DateOnly day => day.ToString("O", CultureInfo.InvariantCulture),
            DateTimeOffset moment => moment.UtcDateTime.ToString("O", CultureInfo.InvariantCulture),
            Enum word => JsonNamingPolicy.CamelCase.ConvertName(word.ToString()),
            _ => throw new ArgumentException($"A key has no part of type {part.GetType().Name}."),
        };
}
