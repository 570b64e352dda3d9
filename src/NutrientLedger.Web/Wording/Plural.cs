namespace NutrientLedger.Web.Wording;

/// <summary>How many there are of something, in words: "1 entry", "2 entries", "0 entries".</summary>
public static class Plural
{
    /// <summary>Many of what makes its plural with an s, unless the plural is given.</summary>
    public static string Of(long count, string one, string? many = null) =>
        FormattableString.Invariant($"{count} {(count == 1 ? one : many ?? $"{one}s")}");
}
