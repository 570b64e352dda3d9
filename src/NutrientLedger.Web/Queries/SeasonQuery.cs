using NutrientLedger.Ledger.Fields;
using NutrientLedger.Persistence.Configuration;
using NutrientLedger.Persistence.Queries;
using NutrientLedger.Web.Http;

namespace NutrientLedger.Web.Queries;

/// <summary>
/// Reads the ledger of a farm for the requested season, or the latest with lines or a plan. The configuration must be
/// as of the given position; null for the newest.
/// </summary>
internal sealed class SeasonQuery(LedgerReader ledgers)
{
    /// <summary>Configuration and ledger, with the coverage of all fields or only the named one.</summary>
    public Task<Result<FarmSnapshot>> SnapshotAsync(
        ConfigurationSnapshot at,
        long? asOf,
        string? field,
        string? season,
        CancellationToken cancellationToken
    ) =>
        ViewAsync(
            at,
            asOf,
            season,
            (farmId, seen, position, cancellation) => ledgers.ReadAsync(farmId, field, seen, position, cancellation),
            (view, shown, seasons) => new FarmSnapshot(at.FarmId, at, view, shown, seasons),
            cancellationToken
        );

    /// <summary>The same without coverage.</summary>
    public Task<Result<FarmLines>> LinesAsync(
        ConfigurationSnapshot at,
        long? asOf,
        string? season,
        CancellationToken cancellationToken
    ) =>
        ViewAsync(
            at,
            asOf,
            season,
            ledgers.LinesAsync,
            (view, shown, seasons) => new FarmLines(at.FarmId, at, view, shown, seasons),
            cancellationToken
        );

    private async Task<Result<TAnswer>> ViewAsync<TView, TAnswer>(
        ConfigurationSnapshot at,
        long? asOf,
        string? season,
        Func<string, int?, long?, CancellationToken, Task<TView>> read,
        Func<TView, int, IReadOnlyList<int>, TAnswer> create,
        CancellationToken cancellationToken
    )
        where TView : LedgerLines
        where TAnswer : class
    {
        if (QueryParameters.BadSeason(season) is { } problem)
            return problem;
        // As of an earlier position all seasons are posted at once, so one read also gives the list of seasons.
        var whole = asOf is null ? null : await read(at.FarmId, null, asOf, cancellationToken);
        var posted =
            whole?.Lines.Keys.Select(line => line.Season) ?? await ledgers.SeasonsAsync(at.FarmId, cancellationToken);
        var seasons = FarmSeasons.Of(at.Configuration, posted);
        var shown = QueryParameters.Season(season) ?? seasons.Latest;
        return create(whole ?? await read(at.FarmId, shown, null, cancellationToken), shown, seasons.All);
    }
}
