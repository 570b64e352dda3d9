using NutrientLedger.Journal;
using NutrientLedger.Ledger;

namespace NutrientLedger.Store;

/// <summary>The posted ledger of a farm as it stood when the journal had reached a position.</summary>
public sealed record LedgerView(
    long Position,
    IReadOnlyDictionary<LineKey, LineAmounts> Lines,
    IReadOnlyList<CoverageRows> Coverage
);

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

/// <summary>Answers questions about posted ledgers.</summary>
public sealed class LedgerReader
{
    /// <summary>Lines and coverage of one season (all seasons if none is named), live or as of a journal position.</summary>
    public Task<LedgerView> ReadAsync(string farmId, int? season, long? asOf, CancellationToken cancellationToken) =>
        throw new NotImplementedException();

    /// <summary>The coverage tiles of one field and season.</summary>
    public Task<IReadOnlyDictionary<TileKey, CoverageTile>> TilesAsync(
        string farmId,
        string fieldId,
        int season,
        CancellationToken cancellationToken
    ) => throw new NotImplementedException();

    /// <summary>The level hours of a pit between two moments (all if left out), in order of time.</summary>
    public Task<IReadOnlyList<(LevelKey Key, LevelHour Hour)>> LevelsAsync(
        string farmId,
        string pitId,
        DateTimeOffset? from,
        DateTimeOffset? to,
        long? asOf,
        CancellationToken cancellationToken
    ) => throw new NotImplementedException();

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
