namespace NutrientLedger.Ledger.Lines;

/// <summary>
/// The rules that flag what is posted. Each looks at one interval and its first reading only, so that no order of arrival can
/// change what it says. The names are stored beside the lines.
/// </summary>
public enum FlagRule
{
    /// <summary>Engaged, and at least one of the other rules about engaged intervals holds.</summary>
    Any = 0,

    /// <summary>Ammonium nitrogen is above total nitrogen.</summary>
    AmmoniumAboveTotal = 1,

    /// <summary>A content lies outside the limits set for it.</summary>
    ContentOutOfRange = 2,

    /// <summary>A sensor on the applicator is in force and said nothing of the contents, and no person voided them.</summary>
    ContentMissing = 3,

    /// <summary>The machine says that the tool is engaged, but less runs than it must at least (nothing, where no limit is set).</summary>
    EngagedWithoutFlow = 4,

    /// <summary>More runs while engaged than the limit set.</summary>
    FlowOutOfRange = 5,

    /// <summary>The speed told lies outside the limits set.</summary>
    SpeedOutOfRange = 6,

    /// <summary>The working width told lies outside the limits set.</summary>
    WidthOutOfRange = 7,

    /// <summary>The meter runs while the tool is not engaged, by more than the limit set (by anything, where none is set).</summary>
    FlowWhileDisengaged = 8,
}
