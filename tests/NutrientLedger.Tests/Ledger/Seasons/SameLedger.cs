using NutrientLedger.Ledger;

namespace NutrientLedger.Tests.Ledger.Seasons;

/// <summary>Whether two ledgers are the same to the last bit, told by the first line, tile or hour that is not.</summary>
internal static class SameLedger
{
    public static void Assert(LedgerBook expected, LedgerBook actual) =>
        Assert(expected, actual.Lines, actual.Tiles, actual.Levels);

    public static void Assert(
        LedgerBook expected,
        IReadOnlyDictionary<LineKey, LineAmounts> lines,
        IReadOnlyDictionary<TileKey, CoverageTile> tiles,
        IReadOnlyDictionary<LevelKey, LevelHour> levels
    )
    {
        Xunit.Assert.Equal(Sorted(expected.Lines), Sorted(lines));
        Xunit.Assert.Equal(Sorted(expected.Levels), Sorted(levels));
        Xunit.Assert.Equal(Sorted(expected.Tiles, Bytes), Sorted(tiles, Bytes));
    }

    public static IEnumerable<string> Sorted<TKey, TValue>(
        IReadOnlyDictionary<TKey, TValue> book,
        Func<TValue, string>? text = null
    ) =>
        book.Select(pair => $"{pair.Key} {text?.Invoke(pair.Value) ?? pair.Value?.ToString()}")
            .Order(StringComparer.Ordinal);

    private static string Bytes(CoverageTile tile) => Convert.ToHexString(tile.Encode());
}
