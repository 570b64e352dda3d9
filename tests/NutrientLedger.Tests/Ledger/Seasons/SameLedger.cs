using NutrientLedger.Ledger.Posting;

namespace NutrientLedger.Tests.Ledger.Seasons;

/// <summary>
/// Checks that two ledgers are the same to the last bit. A failure names the first line, tile or hour that differs.
/// </summary>
internal static class SameLedger
{
    public static void Assert(LedgerAddition expected, LedgerAddition actual)
    {
        Xunit.Assert.Equal(Sorted(expected.Lines), Sorted(actual.Lines));
        Xunit.Assert.Equal(Sorted(expected.Levels), Sorted(actual.Levels));
        Xunit.Assert.Equal(Sorted(expected.Tiles, Convert.ToHexString), Sorted(actual.Tiles, Convert.ToHexString));
    }

    public static IEnumerable<string> Sorted<TKey, TValue>(
        IReadOnlyDictionary<TKey, TValue> accumulator,
        Func<TValue, string>? text = null
    ) =>
        accumulator
            .Select(pair => $"{pair.Key} {text?.Invoke(pair.Value) ?? pair.Value?.ToString()}")
            .Order(StringComparer.Ordinal);
}
