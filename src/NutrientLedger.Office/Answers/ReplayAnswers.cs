using NutrientLedger.Store;

namespace NutrientLedger.Office.Answers;

/// <summary>
/// What to replay: compare with the live ledger and delete it again (if nothing is said), take the live one's place, or say what the
/// ledger said when the journal had reached a position or a time.
/// </summary>
public sealed record ReplayQuestion(bool Switch = false, long? AsOfPosition = null, DateTimeOffset? AsOfTime = null);

/// <summary>
/// A replay as it stands: running, done, cancelled, refused (the ledger could not be replayed just then) or failed, and why. Once it
/// is done it has a report, or the fields as they stood at <see cref="AsOf"/>.
/// </summary>
public sealed record ReplayAnswer(
    long Replay,
    string Address,
    string Farm,
    string State,
    bool Switch,
    long? AsOf,
    DateTimeOffset BegunAt,
    DateTimeOffset? EndedAt,
    ReplayProgress Progress,
    ReplayReport? Report,
    IReadOnlyList<EarlierField>? Fields,
    string? Why
);

/// <summary>
/// Packs read, the journal position of the last one out of the last there is, packs a second since it began, and, when it can be
/// told, how many seconds are left. Positions count the entries of all farms.
/// </summary>
public sealed record ReplayProgress(
    long Packs,
    long Position,
    long LastPosition,
    double? PacksPerSecond,
    double? SecondsLeft
);

/// <summary>What had been spread on a field in a season when the journal had reached a position; nitrogen elemental, P2O5 and K2O as oxides.</summary>
public sealed record EarlierField(
    string Field,
    int Season,
    double VolumeCubicMetres,
    double NitrogenKilograms,
    double P2O5Kilograms,
    double K2OKilograms,
    double CoveredSquareMetres
);

/// <summary>Replays of this hub, oldest first.</summary>
public sealed record ReplayList(IReadOnlyList<ReplayAnswer> Replays);
