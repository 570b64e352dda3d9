using NutrientLedger.Journal;

namespace NutrientLedger.Telemetry;

/// <summary>The result of decoding one message: decoded or rejected.</summary>
public abstract record DecodeResult
{
    private DecodeResult() { }

    /// <summary>
    /// A sound message: one batch of readings for a farm, without its neighbour readings yet. Records with unknown
    /// names are counted and left out. After a restart, a device may send its previous boot and the last number of that
    /// boot.
    /// </summary>
    public sealed record Decoded(
        string FarmId,
        IJournalEvent Event,
        int IgnoredRecords = 0,
        (long Boot, long LastSeq)? PreviousBoot = null
    ) : DecodeResult;

    /// <summary>
    /// A message that cannot be used. The reason names the reading and the value, and says what would be right.
    /// </summary>
    public sealed record Rejected(string Reason) : DecodeResult;
}
