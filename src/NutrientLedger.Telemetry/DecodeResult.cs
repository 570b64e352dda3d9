using NutrientLedger.Journal;

namespace NutrientLedger.Telemetry;

/// <summary>The result of decoding one message: decoded or rejected.</summary>
public abstract record DecodeResult
{
    private DecodeResult() { }

    /// <summary>
    /// A sound message: one batch of readings for a farm, without its neighbour readings yet. After a restart, a device
    /// may send its previous boot and the last number of that boot.
    /// </summary>
    public sealed record Decoded(string FarmId, IJournalEvent Event, (long Boot, long LastSeq)? PreviousBoot = null)
        : DecodeResult
    {
        /// <summary>How many records had an unknown name and were left out.</summary>
        public int UnknownRecords { get; init; }

        /// <summary>How many values lay too far below zero and were left out.</summary>
        public int ValuesLeftOut { get; init; }
    }

    /// <summary>
    /// A message that cannot be used. The reason names the reading and the value, and says what would be right.
    /// </summary>
    public sealed record Rejected(string Reason) : DecodeResult;
}
