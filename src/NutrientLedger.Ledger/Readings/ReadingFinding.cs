using NutrientLedger.Journal;
using NutrientLedger.Journal.Readings;

namespace NutrientLedger.Ledger.Readings;

/// <summary>What looks wrong with a run of readings.</summary>
public enum FindingKind
{
    /// <summary>A value stays constant to its last digit while others change.</summary>
    Stuck = 1,

    /// <summary>Values are far from those around them.</summary>
    Spike = 2,

    /// <summary>A content rises or falls steadily, further than the limit.</summary>
    Drift = 3,
}

/// <summary>
/// Readings of one device, stream and boot that look wrong among their neighbours, by number (both ends included) and
/// time (ms since 1970, UTC). It says in words how strongly. It proposes what to void if a person agrees, or null where
/// voiding would not help. It decides nothing.
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
