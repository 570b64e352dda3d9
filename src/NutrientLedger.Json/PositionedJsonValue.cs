using System.Text.Json;

namespace NutrientLedger.Json;

/// <summary>A value of a JSON file as it is written there, with the line it stands on; numbers keep the digits they were written with.</summary>
public sealed record PositionedJsonValue(
    int Line,
    JsonTokenType Kind,
    string Text,
    IReadOnlyList<PositionedJsonValue> Items,
    IReadOnlyList<PositionedJsonMember> Members
)
{
    /// <summary>What a person would call this kind of value.</summary>
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
