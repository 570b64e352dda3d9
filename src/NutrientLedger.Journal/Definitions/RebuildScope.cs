using NutrientLedger.Agronomy.Fields;

namespace NutrientLedger.Journal.Definitions;

/// <summary>A part of a ledger that an event changes. It has to be rebuilt.</summary>
public abstract record RebuildScope
{
    private RebuildScope() { }

    /// <summary>The whole ledger of the farm. The default of every event type, because it is safe.</summary>
    public sealed record Everything : RebuildScope;

    /// <summary>
    /// The work of one applicator from a moment on, or of all applicators when none is named. Its readings keep their
    /// times.
    /// </summary>
    public sealed record WorkOf(string? ApplicatorId, DateTimeOffset From) : RebuildScope;

    /// <summary>
    /// Readings of a spreading device by their numbers, both ends included. They can change their times or drop out.
    /// </summary>
    public sealed record ReadingsOf(string EquipmentId, long Boot, long FirstSeq, long LastSeq) : RebuildScope;

    /// <summary>Work on some ground from a day on (farm time).</summary>
    public abstract record Ground(DateOnly From) : RebuildScope;

    /// <summary>A field whose boundary changes from a day on (farm time), and the fields beside it.</summary>
    public sealed record GroundOf(string FieldId, DateOnly From) : Ground(From);

    /// <summary>Ground within a boundary, on whichever field or outside all.</summary>
    public sealed record GroundWithin(Boundary Boundary, DateOnly From) : Ground(From);

    /// <summary>The levels of all pits.</summary>
    public sealed record Levels : RebuildScope;

    /// <summary>
    /// Nothing that is posted: only how lines are evaluated, from one moment to before another (open when null).
    /// </summary>
    public sealed record Evaluation(DateTimeOffset From, DateTimeOffset? Before) : RebuildScope;

    /// <summary>
    /// What earlier decisions changed that are now withdrawn or replaced. Entries of a farm file need none: a
    /// correction sees by itself which of them no longer count.
    /// </summary>
    public sealed record SameAs(Func<IJournalEvent, bool> IsReplaced) : RebuildScope;
}
