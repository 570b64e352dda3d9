namespace NutrientLedger.Journal.Definitions;

/// <summary>A part of a ledger that an event changes, so that it has to be rebuilt.</summary>
public abstract record RebuildScope
{
    private RebuildScope() { }

    /// <summary>The whole ledger of the farm. The default of every event type, because it is safe.</summary>
    public sealed record Everything : RebuildScope;

    /// <summary>The lines of one applicator, of all applicators when null. Its readings stay where they are.</summary>
    public sealed record LinesOf(string? ApplicatorId) : RebuildScope;

    /// <summary>Lines and covered ground of one applicator: its readings can move to other places, times or out.</summary>
    public sealed record WorkOf(string ApplicatorId) : RebuildScope;

    /// <summary>A field whose boundary changes, and the fields beside it.</summary>
    public sealed record GroundOf(string FieldId) : RebuildScope;

    /// <summary>The levels of all pits.</summary>
    public sealed record Levels : RebuildScope;

    /// <summary>What earlier events of the farm changed, now taken back.</summary>
    public sealed record SameAs(Func<IJournalEvent, bool> IsTakenBack) : RebuildScope;
}
