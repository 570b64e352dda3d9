namespace NutrientLedger.Web.Wording;

/// <summary>A count with its noun: "1 batch", "2 batches", "0 batches".</summary>
public static class Plural
{
    /// <summary>Adds an s for the plural unless one is given.</summary>
    public static string Of(long count, string one, string? many = null) =>
        FormattableString.Invariant($"{count} {(count == 1 ? one : many ?? $"{one}s")}");
}
