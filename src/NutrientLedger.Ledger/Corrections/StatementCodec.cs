using System.Text.Json;

namespace NutrientLedger.Ledger.Corrections;

/// <summary>The text in which a statement is kept: the same statement always gives the same text, and reading and writing it again changes nothing.</summary>
public static class StatementCodec
{
    public static string Encode(Statement statement) => JsonSerializer.Serialize(statement, JsonSerializerOptions.Web);

    public static Statement Decode(string text) =>
        JsonSerializer.Deserialize<Statement>(text, JsonSerializerOptions.Web)
        ?? throw new FormatException("A kept statement is empty.");
}
