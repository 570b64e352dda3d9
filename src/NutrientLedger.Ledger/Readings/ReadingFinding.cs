using NutrientLedger.Journal;
using NutrientLedger.Journal.Readings;

namespace NutrientLedger.Ledger.Readings;

/// <summary>What looks wrong with a run of readings.</summary>
public enum FindingKind
{
    /// <summary>A value does not move by its last digit while others do.</summary>
    Stuck = 1,

    /// <summary>Values lie far from those around them.</summary>
    Spike = 2,

    /// <summary>A content rises or falls all the time, further than the limit.</summary>
    Drift = 3,
}

/// <summary>
/// Readings of one sender, stream and boot that look wrong in their company, by number (both ends included) and time (ms since 1970,
/// UTC), how strongly, and what to void if a person agrees; nothing where voiding would not help. It decides nothing.
/// </summary>
public sealed record ReadingFinding(
    FindingKind Kind,
    string Measured,
    string EquipmentId,
    TelemetryStream Stream,
    long Boot,
    long FirstSeq,
    long LastSeq,
    long FromMilliseconds,
    long ToMilliseconds,
    FindingStrength Strength,
    VoidedPart? ProposedPart
);
