using System.Buffers;

namespace NutrientLedger.Journal;

/// <summary>
/// The ids that people give to farms, equipment and fields: 1 to 40 of the characters a-z, 0-9 and -. They are the same
/// in topics, files and the journal.
/// </summary>
public static class GivenId
{
    public const int LengthMax = 40;

    private static readonly SearchValues<char> Characters = SearchValues.Create(
        "abcdefghijklmnopqrstuvwxyz0123456789-"
    );

    /// <summary>Whether a text can be an id.</summary>
    public static bool IsValid(ReadOnlySpan<char> text) =>
        text.Length is >= 1 and <= LengthMax && !text.ContainsAnyExcept(Characters);
}
