namespace NutrientLedger.Web.Wording;

/// <summary>Says that amounts are minimums, because batches of the journal cannot be posted.</summary>
internal static class UnpostedWording
{
    /// <summary>The sentence, or none when all are posted.</summary>
    public static IEnumerable<string> Of(int batches) =>
        batches == 0
            ? []
            : [$"At least: {Plural.Of(batches, "batch")} of this farm cannot be posted. The hub's health says which."];
}
