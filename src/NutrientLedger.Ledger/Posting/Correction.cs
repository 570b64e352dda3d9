using NutrientLedger.Agronomy.Fields;
using NutrientLedger.Journal;
using NutrientLedger.Journal.Definitions;
using NutrientLedger.Journal.StoredEvents;
using NutrientLedger.Ledger.Configuration;

namespace NutrientLedger.Ledger.Posting;

/// <summary>The measured time that batches span as sent, from the first moment to the last (ms since 1970).</summary>
public readonly record struct MeasuredSpan(long From, long To);

/// <summary>
/// What configuration events change of what is posted: the partitions to post again, and the seasons whose balances can
/// differ. An entry of the farm file that they replaced or withdrew changes what it changed before. Posting these
/// partitions alone gives the same ledger as posting everything.
/// </summary>
public sealed class Correction
{
    private readonly FarmConfiguration before;
    private readonly FarmConfiguration after;
    private readonly List<RebuildScope> scopes;

    /// <summary>A correction by events in the order of the journal.</summary>
    public Correction(IEnumerable<IJournalEvent> events, FarmConfiguration before, FarmConfiguration after)
    {
        (this.before, this.after) = (before, after);
        scopes = [.. events.Concat(NoLongerInForce).SelectMany(Scopes)];
    }

    /// <summary>The readings it concerns, by their numbers. Where they lie in time stands in the journal.</summary>
    public IEnumerable<RebuildScope.ReadingsOf> Readings => scopes.OfType<RebuildScope.ReadingsOf>();

    /// <summary>The first season in which a field or a no-spread zone changes. Null when none does.</summary>
    public int? FirstSeasonRedrawn =>
        scopes.OfType<RebuildScope.Ground>().Select(ground => (int?)SeasonAt(ground.From)).Min();

    /// <summary>
    /// The partitions to post again.
    /// </summary>
    /// <param name="spans">The spans of the batches that hold these readings or their neighbours.</param>
    /// <param name="worked">
    /// Where applicators have lines, at least from <see cref="FirstSeasonRedrawn"/> on.
    /// </param>
    public PartitionSet Partitions(
        Func<RebuildScope.ReadingsOf, IEnumerable<MeasuredSpan>> spans,
        IReadOnlyCollection<WorkedPlace> worked
    )
    {
        if (ConcernsEverything)
            return PartitionSet.Everything;
        return new(
            scopes.SelectMany(scope =>
                scope switch
                {
                    RebuildScope.WorkOf work => [new(work.ApplicatorId, SeasonAt(work.From), int.MaxValue)],
                    RebuildScope.ReadingsOf readings => SeasonsOf(readings, spans(readings)),
                    RebuildScope.Ground ground => SeasonsOf(ground, worked),
                    _ => Enumerable.Empty<SeasonsOf>(),
                }
            ),
            scopes.Any(scope => scope is RebuildScope.Levels)
        );
    }

    /// <summary>
    /// All partitions of the seasons whose balances can differ: of those that are posted again, and of those that are
    /// evaluated otherwise.
    /// </summary>
    /// <param name="spans">The spans of the batches that hold these readings or their neighbours.</param>
    public PartitionSet Seasons(Func<RebuildScope.ReadingsOf, IEnumerable<MeasuredSpan>> spans)
    {
        if (ConcernsEverything)
            return PartitionSet.Everything;
        return new(
            scopes
                .SelectMany(scope =>
                    scope switch
                    {
                        RebuildScope.WorkOf work => [From(SeasonAt(work.From))],
                        RebuildScope.Ground ground => [From(SeasonAt(ground.From))],
                        RebuildScope.ReadingsOf readings => SeasonsOf(readings, spans(readings)),
                        RebuildScope.Evaluation { Before: { } end } hours =>
                        [
                            new(null, SeasonAt(hours.From), SeasonAt(end)),
                        ],
                        RebuildScope.Evaluation hours => [From(SeasonAt(hours.From))],
                        _ => Enumerable.Empty<SeasonsOf>(),
                    }
                )
                .Select(seasons => seasons with { ApplicatorId = null }),
            scopes.Any(scope => scope is RebuildScope.Levels)
        );

        static SeasonsOf From(int first) => new(null, first, int.MaxValue);
    }

    private bool ConcernsEverything =>
        before.Calendar is null || after.Calendar is null || scopes.Any(scope => scope is RebuildScope.Everything);

    private IEnumerable<IJournalEvent> NoLongerInForce =>
        before
            .Entries.Where(entry => !ReferenceEquals(after.Entries.GetValueOrDefault(entry.Key), entry.Value))
            .Select(entry => entry.Value);

    private IEnumerable<RebuildScope> Scopes(IJournalEvent @event) =>
        EventTypes.Of(@event) is { Changes: EventChanges.Rebuild or EventChanges.Evaluation } type
            ? type.ScopeOf(@event)
                .SelectMany(scope =>
                    scope is RebuildScope.SameAs same
                        ? after.Recorded<IJournalEvent>().Where(same.IsReplaced).SelectMany(OwnScopes)
                        : [scope]
                )
            : [];

    private static IEnumerable<RebuildScope> OwnScopes(IJournalEvent @event) =>
        EventTypes.Of(@event).ScopeOf(@event).Where(scope => scope is not RebuildScope.SameAs);

    /// <summary>
    /// A reading can count at its own time and at each that a person decided. Neighbouring readings belong to the same
    /// intervals.
    /// </summary>
    private IEnumerable<SeasonsOf> SeasonsOf(RebuildScope.ReadingsOf readings, IEnumerable<MeasuredSpan> spans)
    {
        long[] shifts = [0, .. Shifts(before), .. Shifts(after)];
        return spans.SelectMany(span =>
            shifts.Select(shift => new SeasonsOf(
                readings.EquipmentId,
                SeasonAt(span.From, shift),
                SeasonAt(span.To, shift)
            ))
        );

        IEnumerable<long> Shifts(FarmConfiguration configuration) =>
            configuration.Decided(readings.EquipmentId, TelemetryStream.Spread, readings.Boot).Shifts;
    }

    /// <summary>Whoever worked in a field of this ground, or outside all fields, from the ground's day on.</summary>
    private IEnumerable<SeasonsOf> SeasonsOf(RebuildScope.Ground ground, IReadOnlyCollection<WorkedPlace> worked)
    {
        var fields = FieldsOf(ground).ToHashSet();
        var first = SeasonAt(ground.From);
        return worked
            .Where(place =>
                place.Season >= first && (place.FieldId.Length > 0 ? fields.Contains(place.FieldId) : place.Placed)
            )
            .Select(place => new SeasonsOf(place.ApplicatorId, place.Season, place.Season));
    }

    private IEnumerable<string> FieldsOf(RebuildScope.Ground ground) =>
        ground switch
        {
            RebuildScope.GroundOf { FieldId: var id } => FieldsOver([
                    .. Boxes(before.Field(id)),
                    .. Boxes(after.Field(id)),
                ])
                .Append(id),
            RebuildScope.GroundWithin within => FieldsOver([BoundaryBox.Around(within.Boundary)]),
            _ => after.Fields.Select(field => field.FieldId),
        };

    /// <summary>Fields of which a box, at any time, overlaps one of these.</summary>
    private IEnumerable<string> FieldsOver(BoundaryBox[] ground) =>
        after.Fields.Where(field => Boxes(field).Any(box => ground.Any(box.Overlaps))).Select(field => field.FieldId);

    private static IEnumerable<BoundaryBox> Boxes(RegisteredField? field) =>
        field?.Boundaries.Changes.Select(change => BoundaryBox.Around(change.InForce)) ?? [];

    private int SeasonAt(DateOnly day) =>
        after.Calendar is { } calendar ? calendar.SeasonAt(calendar.StartOf(day)) : int.MinValue;

    private int SeasonAt(DateTimeOffset moment) =>
        moment == DateTimeOffset.MinValue ? int.MinValue : SeasonAt(moment.ToUnixTimeMilliseconds(), 0);

    private int SeasonAt(long milliseconds, long shift) =>
        after.Calendar!.SeasonAt((long)Int128.Clamp((Int128)milliseconds + shift, Earliest, Latest));

    // Times on the wire lie between 1990 and 2100, and no decided one counts beyond them.
    private const long Earliest = 631_152_000_000;
    private const long Latest = 4_102_444_800_000;
}
