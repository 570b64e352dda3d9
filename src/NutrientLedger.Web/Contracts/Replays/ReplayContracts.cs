using NutrientLedger.Persistence.Rebuild;

namespace NutrientLedger.Web.Contracts.Replays;

/// <summary>
/// What to replay: by default rebuild, compare with the live ledger and delete. Or switch to the rebuilt ledger, or
/// show the ledger as of a journal position or a time.
/// </summary>
internal sealed record ReplayRequest(bool Switch = false, long? AsOfPosition = null, DateTimeOffset? AsOfTime = null);

/// <summary>
/// A replay and its state: running, done, cancelled, unavailable (the ledger could not be rebuilt at that time) or
/// failed, with the reason. When done it has a report, or the fields as of <see cref="AsOf"/>.
/// </summary>
internal sealed record ReplayResponse(
    long Replay,
    string Address,
    string Farm,
    string State,
    bool Switch,
    long? AsOf,
    DateTimeOffset BegunAt,
    DateTimeOffset? EndedAt,
    ReplayProgress Progress,
    RebuildReport? Report,
    IReadOnlyList<EarlierFieldResponse>? Fields,
    string? Reason
);

/// <summary>
/// Batches read, journal position reached and last, batches per second since the start, and estimated seconds left;
/// null when unknown. Positions count the events of all farms.
/// </summary>
internal sealed record ReplayProgress(
    long Batches,
    long Position,
    long LastPosition,
    double? BatchesPerSecond,
    double? SecondsLeft
);

/// <summary>
/// What had been spread on a field in a season at a journal position. Nitrogen is elemental; P2O5 and K2O are oxides.
/// </summary>
public sealed record EarlierFieldResponse(
    string Field,
    int Season,
    double VolumeCubicMetres,
    double NitrogenKilograms,
    double P2o5Kilograms,
    double K2oKilograms,
    double CoveredSquareMetres
);

/// <summary>Replays of this hub, oldest first.</summary>
internal sealed record ReplayList(IReadOnlyList<ReplayResponse> Replays);
