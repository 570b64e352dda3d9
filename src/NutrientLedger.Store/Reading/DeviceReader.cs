using NutrientLedger.Journal;

namespace NutrientLedger.Store;

/// <summary>What the hub knows of a sender on one stream: when it was last heard, how its messages fared, which numbers are missing.</summary>
public sealed record DeviceState(
    string EquipmentId,
    TelemetryStream Stream,
    DateTimeOffset LastRecordedAt,
    DateTimeOffset? LastMeasuredAt,
    long ReadingsStored,
    long ReadingsDuplicate,
    long ReadingsDoubtful,
    IReadOnlyList<SeenGap> Gaps
);

/// <summary>Numbers of one boot that have not arrived, first to last.</summary>
public sealed record SeenGap(long Boot, long FirstSeq, long LastSeq);

/// <summary>A refused message as listed.</summary>
public sealed record RefusedListing(long Id, DateTimeOffset RecordedAt, string Topic, int Bytes, string Reason);

/// <summary>Answers questions about senders, refused messages and how far the ledgers are posted.</summary>
public sealed class DeviceReader
{
    /// <summary>Everything that has sent readings for a farm.</summary>
    public Task<IReadOnlyList<DeviceState>> DevicesAsync(string farmId, CancellationToken cancellationToken) =>
        throw new NotImplementedException();

    /// <summary>Refused messages, newest first.</summary>
    public Task<IReadOnlyList<RefusedListing>> RefusedAsync(int most, CancellationToken cancellationToken) =>
        throw new NotImplementedException();

    /// <summary>The newest journal position and the position up to which the ledger is posted.</summary>
    public Task<(long Journal, long Posted)> PositionsAsync(CancellationToken cancellationToken) =>
        throw new NotImplementedException();
}
