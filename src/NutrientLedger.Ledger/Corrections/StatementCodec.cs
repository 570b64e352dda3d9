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

    /// <summary>
    /// Whether a statement was kept as this text. One kept before unknown intervals were stated says nothing of them.
    /// </summary>
    public static bool IsKeptAs(Statement statement, string text) =>
        text == Encode(statement)
        || (
            !text.Contains("\"unknownIntervals\":", StringComparison.Ordinal)
            && text == Encode(WithoutUnknown(statement))
        );

    public static Statement Decode(string text) =>
        JsonSerializer.Deserialize<Statement>(text, Json) ?? throw new FormatException("A kept statement is empty.");

    private static Statement WithoutUnknown(Statement statement) =>
        statement with
        {
            Fields =
            [
                .. from field in statement.Fields
                let pits = field.Pits.Select(pit => pit with { Amounts = Without(pit.Amounts) })
                let known = field with
                {
                    Amounts = Without(field.Amounts),
                    Pits = [.. pits.Where(pit => pit.Amounts.Differ)],
                }
                where known.Amounts.Differ || known.Pits.Length > 0
                select known,
            ],
        };

    private static StatedAmounts Without(StatedAmounts amounts) => amounts with { UnknownIntervals = null };
}
