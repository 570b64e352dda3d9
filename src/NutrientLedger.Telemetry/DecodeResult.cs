using NutrientLedger.Journal;

namespace NutrientLedger.Telemetry;

/// <summary>What became of a message when it was read: it always has exactly one of these ends.</summary>
public abstract record DecodeResult
{
    private DecodeResult() { }

    /// <summary>
    /// The message was sound: a pack of readings (without neighbours yet) for a farm. Records of names that this hub does not
    /// know were counted and left out. A device that started anew may tell the last boot and number it remembers.
    /// </summary>
    public sealed record Decoded(
        string FarmId,
        IJournalEvent Event,
        int IgnoredRecords = 0,
        (long Boot, long LastSeq)? PreviousBoot = null
    ) : DecodeResult;

    /// <summary>The message was not: the reason names the reading and value, and says what would be right.</summary>
    public sealed record Rejected(string Reason) : DecodeResult;
}
