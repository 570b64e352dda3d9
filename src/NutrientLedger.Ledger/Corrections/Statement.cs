using System.Collections.Immutable;
using NutrientLedger.Journal;
using NutrientLedger.Journal.Definitions;
using NutrientLedger.Journal.StoredEvents;
using NutrientLedger.Ledger.Configuration;
using NutrientLedger.Ledger.Fields;
using NutrientLedger.Ledger.Levels;
using NutrientLedger.Ledger.Lines;
using NutrientLedger.Ledger.Posting;
using NutrientLedger.Ledger.Wording;

namespace NutrientLedger.Ledger.Corrections;

/// <summary>One pit's part in what a correction changed on a field; nothing where no source was in force.</summary>
public sealed record StatedPit(string? Pit, StatedAmounts Amounts);

/// <summary>A field and season that a correction changed, all pits together and those it changed; without a field: spread or metered outside all fields.</summary>
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
/// What one correction of the past changed: a function of the journal up to the correction's own position, so that it can be made again
/// at any time and what arrives later never changes it. Only what changed is in it. Form is the version of what a statement says.
/// </summary>
public sealed record Statement(
    int Form,
    string Farm,
    StatementCause Cause,
    string Summary,
    ImmutableArray<StatedField> Fields,
    ImmutableArray<StatedLevels> Levels
)
{
    /// <summary>The form in which statements are made now.</summary>
    public const int FormNow = 1;

    /// <summary>Whether an entry can correct what is posted already: by changing lines, or how they are evaluated.</summary>
    public static bool IsOwedTo(IJournalEvent @event) =>
        EventTypes.Of(@event).Changes is EventChanges.Rebuild or EventChanges.Evaluation;

    /// <summary>Makes the statement from the packs up to the correction, posted under the register before it and under the one with it.</summary>
    public static Statement Of(
        string farmId,
        StatementCause cause,
        FarmConfiguration before,
        LedgerAccumulator posted,
        FarmConfiguration after,
        LedgerAccumulator corrected
    )
    {
        var fields = ChangedSpread
            .Between(before, posted.Lines, after, corrected.Lines)
            .GroupBy(change => (change.FieldId, change.Season))
            .Select(changes => FieldOf([.. changes], before, posted, after, corrected))
            .Where(field => field.Amounts.Differ || field.Pits.Length > 0)
            .ToImmutableArray();
        var levels = LevelsBetween(posted.Levels, corrected.Levels);
        return new(FormNow, farmId, cause, InWords(fields, levels), fields, levels);
    }

    private static StatedField FieldOf(
        ChangedSpread[] changes,
        FarmConfiguration before,
        LedgerAccumulator posted,
        FarmConfiguration after,
        LedgerAccumulator corrected
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

        SpreadAmounts Together(FarmConfiguration configuration, LedgerAccumulator accumulator) =>
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

    private static string InWords(ImmutableArray<StatedField> fields, ImmutableArray<StatedLevels> levels)
    {
        string[] changed =
        [
            .. fields.Length > 0
                ? [$"amounts of {Plural.Of(fields.Length, "field and season", "fields and seasons")}"]
                : Array.Empty<string>(),
            .. levels.Length > 0 ? [$"levels of {Plural.Of(levels.Length, "pit")}"] : Array.Empty<string>(),
        ];
        return changed.Length == 0 ? "Nothing changed." : $"Changed: {string.Join(" and ", changed)}.";
    }
}
