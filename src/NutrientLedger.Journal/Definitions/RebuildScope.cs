namespace NutrientLedger.Journal.Definitions;

/// <summary>A part of a ledger that an event changes. It has to be rebuilt.</summary>
public abstract record RebuildScope
{
    private RebuildScope() { }

    /// <summary>The whole ledger of the farm. The default of every event type, because it is safe.</summary>
    public sealed record Everything : RebuildScope;

    /// <summary>
    /// The lines of one applicator, or of all applicators when null. Its readings keep their place and time.
    /// </summary>
    public sealed record LinesOf(string? ApplicatorId) : RebuildScope;

    /// <summary>
    /// Lines and covered ground of one applicator. Its readings can change place or time, or drop out.
    /// </summary>
    public sealed record WorkOf(string ApplicatorId) : RebuildScope;

    /// <summary>A field whose boundary changes, and the fields beside it.</summary>
    public sealed record GroundOf(string FieldId) : RebuildScope;

    /// <summary>The levels of all pits.</summary>
    public sealed record Levels : RebuildScope;

    /// <summary>What earlier events of the farm changed. It is now withdrawn.</summary>
    public sealed record SameAs(Func<IJournalEvent, bool> IsWithdrawn) : RebuildScope;
}
