using System.Collections.Immutable;
using System.Text.Json.Serialization;
using NutrientLedger.Journal;
using NutrientLedger.Journal.Definitions;
using NutrientLedger.Journal.StoredEvents;
using NutrientLedger.Ledger.Configuration;
using NutrientLedger.Ledger.Fields;
using NutrientLedger.Ledger.Levels;
using NutrientLedger.Ledger.Lines;
using NutrientLedger.Ledger.Posting;

namespace NutrientLedger.Ledger.Corrections;

/// <summary>One pit's part in what a correction changed on a field; nothing where no source was in force.</summary>
public sealed record StatedPit(string? Pit, StatedAmounts Amounts);

/// <summary>
/// A field and season that a correction changed: all pits together, then each pit it changed. Without a field it is
/// what was spread or metered outside all fields.
/// </summary>
public sealed record StatedField(
    string? Field,
    string? Name,
    int Season,
    StatedAmounts Amounts,
    StatedAvailability? Available,
    ImmutableArray<StatedPit> Pits
);

/// <summary>So many hours of levels of a pit that a correction changed, made or took away.</summary>
public sealed record StatedLevels(string Pit, int Hours);

/// <summary>
/// What one correction of the past changed, and nothing else. It follows from the journal up to the correction's own
/// position, so it can be made again at any time, and what arrives later never changes it. It holds data; sentences are
/// made when it is read. Where batches could not be posted, before or after it, its amounts are minimums.
/// </summary>
public sealed record Statement(
    string Farm,
    StatementCause Cause,
    ImmutableArray<StatedField> Fields,
    ImmutableArray<StatedLevels> Levels,
    [property: JsonIgnore(Condition = JsonIgnoreCondition.WhenWritingDefault)] int UnpostedBatches = 0
)
{
    /// <summary>
    /// Whether an event can correct what is posted already: by changing lines, or how they are evaluated.
    /// </summary>
    public static bool IsOwedTo(IJournalEvent @event) =>
        EventTypes.Of(@event).Changes is EventChanges.Rebuild or EventChanges.Evaluation;

    /// <summary>
    /// Makes the statement from the batches up to the correction, posted under the configuration before it and under
    /// the one with it.
    /// </summary>
    public static Statement Of(
        string farmId,
        StatementCause cause,
        FarmConfiguration before,
        LedgerAddition posted,
        FarmConfiguration after,
        LedgerAddition corrected
    )
    {
        var fields = ChangedSpread
            .Between(before, posted.Lines, after, corrected.Lines)
            .GroupBy(change => (change.FieldId, change.Season))
            .Select(changes => FieldOf([.. changes], before, posted, after, corrected))
            .Where(field => field.Amounts.Differ || field.Pits.Length > 0)
            .ToImmutableArray();
        var unposted = posted.Unposted.Union(corrected.Unposted).Count();
        return new(farmId, cause, fields, LevelsBetween(posted.Levels, corrected.Levels), unposted);
    }

    private static StatedField FieldOf(
        ChangedSpread[] changes,
        FarmConfiguration before,
        LedgerAddition posted,
        FarmConfiguration after,
        LedgerAddition corrected
    )
    {
        var (fieldId, season) = (changes[0].FieldId, changes[0].Season);
        var isField = fieldId.Length > 0;
        return new(
            isField ? fieldId : null,
            isField ? (after.Field(fieldId) ?? before.Field(fieldId))?.Name : null,
            season,
            StatedAmounts.Of(Together(before, posted), Together(after, corrected)),
            isField
                ? StatedAvailability.Of(
                    FieldAvailability.Of(before, posted.Lines, fieldId, season),
                    FieldAvailability.Of(after, corrected.Lines, fieldId, season)
                )
                : null,
            [
                .. changes
                    .Select(change => new StatedPit(
                        change.PitId.Length > 0 ? change.PitId : null,
                        StatedAmounts.Of(change.Before, change.After)
                    ))
                    .Where(pit => pit.Amounts.Differ),
            ]
        );

        SpreadAmounts Together(FarmConfiguration configuration, LedgerAddition accumulator) =>
            SpreadAmounts.Of(
                configuration,
                accumulator.Lines.Where(line => line.Key.FieldId == fieldId && line.Key.Season == season)
            );
    }

    private static ImmutableArray<StatedLevels> LevelsBetween(
        IReadOnlyDictionary<LevelKey, LevelHour> before,
        IReadOnlyDictionary<LevelKey, LevelHour> after
    ) =>
        [
            .. before
                .Keys.Union(after.Keys)
                .Where(key => before.GetValueOrDefault(key) != after.GetValueOrDefault(key))
                .GroupBy(key => key.PitId)
                .OrderBy(pit => pit.Key, StringComparer.Ordinal)
                .Select(pit => new StatedLevels(pit.Key, pit.Count())),
        ];
}
