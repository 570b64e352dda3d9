using System.Text.Json;
using System.Text.Json.Serialization;

namespace NutrientLedger.Ledger.Corrections;

/// <summary>
/// The text in which a statement is kept. The same statement always gives the same text; reading and writing it again
/// changes nothing.
/// </summary>
public static class StatementCodec
{
    private static readonly JsonSerializerOptions Json = new(JsonSerializerOptions.Web)
    {
        Converters = { new JsonStringEnumConverter(JsonNamingPolicy.CamelCase, allowIntegerValues: false) },
    };

    public static string Encode(Statement statement) => JsonSerializer.Serialize(statement, Json);

    public static Statement Decode(string text) =>
        JsonSerializer.Deserialize<Statement>(text, Json) ?? throw new FormatException("A kept statement is empty.");
}
