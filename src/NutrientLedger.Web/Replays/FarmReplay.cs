using NutrientLedger.Persistence.Configuration;
using NutrientLedger.Persistence.Queries;
using NutrientLedger.Persistence.Rebuild;
using NutrientLedger.Web.Contracts.Replays;
using NutrientLedger.Web.Queries.Fields;

namespace NutrientLedger.Web.Replays;

/// <summary>The work of a replay. It returns how the replay's response changes.</summary>
internal delegate Task<Func<ReplayResponse, ReplayResponse>> ReplayWork(
    Replay replay,
    CancellationToken cancellationToken
);

/// <summary>Rebuilds a farm's ledger and compares it, or computes it as of an earlier position.</summary>
internal sealed class FarmReplay(LedgerRebuild ledgers, LedgerReader reader, ConfigurationStore configurations)
{
    public async Task<Func<ReplayResponse, ReplayResponse>> RunAsync(Replay replay, CancellationToken cancellationToken)
    {
        var request = replay.Response;
        if (request.AsOf is { } position)
        {
            var fields = await EarlierAsync(request.Farm, position, replay, cancellationToken);
            return answer => answer with { Fields = fields };
        }
        var report = await ledgers.RunAsync(request.Farm, request.Switch, replay, cancellationToken);
        return answer => answer with { Report = report };
    }

    private async Task<IReadOnlyList<EarlierFieldResponse>> EarlierAsync(
        string farm,
        long position,
        Replay replay,
        CancellationToken cancellationToken
    )
    {
        var view = await reader.AsOfAsync(farm, season: null, position, replay, cancellationToken);
        var at = await configurations.ReadAsync(farm, view.Position, cancellationToken);
        return EarlierFieldMapping.Fields(at.Configuration, view);
    }
}
