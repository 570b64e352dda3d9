namespace NutrientLedger.Ledger.Lines;

/// <summary>
/// The rules that flag what is posted. Each uses one interval and its first reading only. The order of arrival cannot
/// change the result. The names are stored beside the lines.
/// </summary>
public enum FlagRule
{
    /// <summary>Engaged, and at least one of the rules about readings of engaged intervals holds.</summary>
    Any = 0,

    /// <summary>Ammonium nitrogen is above total nitrogen.</summary>
    AmmoniumAboveTotal = 1,

    /// <summary>A content lies outside the limits set for it.</summary>
    ContentOutOfRange = 2,

    /// <summary>A sensor on the applicator is in force and reported no contents, and no person voided them.</summary>
    ContentMissing = 3,

    /// <summary>
    /// The machine reports the tool as engaged, but the flow is below the limit set (1 mL/s, where none is set).
    /// </summary>
    EngagedWithoutFlow = 4,

    /// <summary>The flow while engaged is above the limit set.</summary>
    FlowOutOfRange = 5,

    /// <summary>The reported speed lies outside the limits set.</summary>
    SpeedOutOfRange = 6,

    /// <summary>The reported working width lies outside the limits set.</summary>
    WidthOutOfRange = 7,

    /// <summary>The flow while the tool is not engaged is above the limit set (above 0, where none is set).</summary>
    FlowWhileDisengaged = 8,

    /// <summary>
    /// Engaged inside a no-spread zone. It says nothing about the readings, so it is no part of <see cref="Any"/>.
    /// </summary>
    InsideNoSpreadZone = 9,
}
