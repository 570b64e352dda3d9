using NutrientLedger.Office.Answers;
using NutrientLedger.Office.Asking;
using NutrientLedger.Store;

namespace NutrientLedger.Office.Replaying;

/// <summary>What a replay does, and how its answer changes when that is done.</summary>
internal delegate Task<Func<ReplayAnswer, ReplayAnswer>> ReplayWork(Replay replay, CancellationToken cancellationToken);

/// <summary>Posts a farm's ledger anew and compares it, or makes it as it was at an earlier position.</summary>
internal sealed class FarmReplay(LedgerReplay ledgers, LedgerReader reader, RegisterStore registers)
{
    public async Task<Func<ReplayAnswer, ReplayAnswer>> RunAsync(Replay replay, CancellationToken cancellationToken)
    {
        var asked = replay.Shown;
        if (asked.AsOf is { } position)
        {
            var fields = await EarlierAsync(asked.Farm, position, replay, cancellationToken);
            return answer => answer with { Fields = fields };
        }
        var report = await ledgers.RunAsync(asked.Farm, asked.Switch, replay, cancellationToken);
        return answer => answer with { Report = report };
    }

    private async Task<IReadOnlyList<EarlierField>> EarlierAsync(
        string farm,
        long position,
        Replay replay,
        CancellationToken cancellationToken
    )
    {
        var view = await reader.EarlierAsync(farm, season: null, position, replay, cancellationToken);
        var at = await registers.ReadAsync(farm, view.Position, cancellationToken);
        return EarlierBook.Fields(at.Register, view);
    }
}
