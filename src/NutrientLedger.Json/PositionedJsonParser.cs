using System.Text;
using System.Text.Json;

namespace NutrientLedger.Json;

/// <summary>Parses hand-written JSON and keeps the line number of every value.</summary>
public sealed class PositionedJsonParser
{
    private readonly byte[] bytes;
    private int countedTo;
    private int line = 1;
    private int? unusable;

    private PositionedJsonParser(byte[] bytes) => this.bytes = bytes;

    /// <summary>
    /// The whole text (UTF-8) as a tree. Returns null and records one problem when the text is not JSON.
    /// </summary>
    public static PositionedJsonValue? Parse(byte[] bytes, FileProblems problems)
    {
        var start = bytes.AsSpan().StartsWith(Encoding.UTF8.Preamble) ? Encoding.UTF8.Preamble.Length : 0;
        var reader = new Utf8JsonReader(bytes.AsSpan(start));
        try
        {
            reader.Read();
            var parser = new PositionedJsonParser(bytes[start..]);
            var whole = parser.Value(ref reader);
            reader.Read();
            if (parser.unusable is not { } at)
                return whole;
            problems.Add(at, "A text contains the character U+0000. Remove it.");
            return null;
        }
        catch (Exception error) when (error is JsonException or InvalidOperationException)
        {
            // For text that is not UTF-8 the reader throws InvalidOperationException, which has no line number.
            var line = error is JsonException { LineNumber: { } at } ? (int)at + 1 : 0;
            // The rest of the message is for programmers: the line number again and the reader's options.
            var cause = error
                .Message.Split(" LineNumber:")[0]
                .Replace(" Change the reader options.", "", StringComparison.Ordinal);
            problems.Add(line, $"The file is not valid JSON from this line on: {cause}");
            return null;
        }
    }

    private PositionedJsonValue Value(ref Utf8JsonReader reader)
    {
        var at = LineOf(reader.TokenStartIndex);
        return reader.TokenType switch
        {
            JsonTokenType.StartObject => new(at, JsonTokenType.StartObject, "", [], Members(ref reader)),
            JsonTokenType.StartArray => new(at, JsonTokenType.StartArray, "", Items(ref reader), []),
            JsonTokenType.String => new(at, JsonTokenType.String, Text(ref reader, at), [], []),
            var plain => new(at, plain, Encoding.UTF8.GetString(reader.ValueSpan), [], []),
        };
    }

    private List<PositionedJsonMember> Members(ref Utf8JsonReader reader)
    {
        var members = new List<PositionedJsonMember>();
        while (reader.Read() && reader.TokenType != JsonTokenType.EndObject)
        {
            var at = LineOf(reader.TokenStartIndex);
            var name = Text(ref reader, at);
            reader.Read();
            members.Add(new(name, at, Value(ref reader)));
        }
        return members;
    }

    private string Text(ref Utf8JsonReader reader, int at)
    {
        var text = reader.GetString()!;
        if (text.Contains('\0', StringComparison.Ordinal))
            unusable ??= at;
        return text;
    }

    private List<PositionedJsonValue> Items(ref Utf8JsonReader reader)
    {
        var items = new List<PositionedJsonValue>();
        while (reader.Read() && reader.TokenType != JsonTokenType.EndArray)
            items.Add(Value(ref reader));
        return items;
    }

    /// <summary>The line of a token. Tokens must come in order, so that each line end is counted once.</summary>
    private int LineOf(long tokenStart)
    {
        line += bytes.AsSpan(countedTo, (int)tokenStart - countedTo).Count((byte)'\n');
        countedTo = (int)tokenStart;
        return line;
    }
}
