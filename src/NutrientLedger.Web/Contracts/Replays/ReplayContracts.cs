using NutrientLedger.Persistence.Rebuild;

namespace NutrientLedger.Web.Contracts.Replays;

/// <summary>
/// What to replay: compare with the live ledger and delete it again (if nothing is said), take the live one's place, or
/// say what the ledger said when the journal had reached a position or a time.
/// </summary>
public sealed record ReplayRequest(bool Switch = false, long? AsOfPosition = null, DateTimeOffset? AsOfTime = null);

/// <summary>
/// A replay as it stands: running, done, cancelled, refused (the ledger could not be replayed just then) or failed, and
/// why. Once it is done it has a report, or the fields as they stood at <see cref="AsOf"/>.
/// </summary>
public sealed record ReplayResponse(
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
/// Packs read, the journal position of the last one out of the last there is, packs a second since it began, and, when
/// it can be told, how many seconds are left. Positions count the entries of all farms.
/// </summary>
public sealed record ReplayProgress(
    long Batches,
    long Position,
    long LastPosition,
    double? BatchesPerSecond,
    double? SecondsLeft
);

/// <summary>
/// What had been spread on a field in a season when the journal had reached a position; nitrogen elemental, P2O5 and
/// K2O as oxides.
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
public sealed record ReplayList(IReadOnlyList<ReplayResponse> Replays);
