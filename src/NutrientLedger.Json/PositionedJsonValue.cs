using System.Text.Json;

namespace NutrientLedger.Json;

/// <summary>A value of a JSON file with its line, from 1. Numbers keep the digits that stand in the file.</summary>
public sealed record PositionedJsonValue(
    int Line,
    JsonTokenType Kind,
    string Text,
    IReadOnlyList<PositionedJsonValue> Items,
    IReadOnlyList<PositionedJsonMember> Members
)
{
    /// <summary>The value in words, for messages.</summary>
    public string KindInWords =>
        Kind switch
        {
            JsonTokenType.StartObject => "an object {…}",
            JsonTokenType.StartArray => "a list […]",
            JsonTokenType.String => $"the text \"{Text}\"",
            JsonTokenType.Null => "null",
            _ => Text,
        };
}

/// <summary>A named value inside an object.</summary>
public sealed record PositionedJsonMember(string Name, int Line, PositionedJsonValue Value);
