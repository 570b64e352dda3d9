using System.Text.Json;

namespace NutrientLedger.Ledger;

/// <summary>The text in which a statement is kept: the same statement always gives the same text, and reading and writing it again changes nothing.</summary>
public static class StatementForm
{
    public static string Write(Statement statement) => JsonSerializer.Serialize(statement, JsonSerializerOptions.Web);

    public static Statement Read(string text) =>
        JsonSerializer.Deserialize<Statement>(text, JsonSerializerOptions.Web)
        ?? throw new FormatException("A kept statement is empty.");
}
