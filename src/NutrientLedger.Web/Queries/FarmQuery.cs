using System.Globalization;
using NutrientLedger.Persistence.Configuration;
using NutrientLedger.Persistence.Queries;
using NutrientLedger.Web.Http;

namespace NutrientLedger.Web.Queries;

/// <summary>Finds the farm, season and journal position that a question names, or says what to ask instead.</summary>
internal sealed class FarmQuery(ConfigurationStore configurations, LedgerReader ledgers, DeviceReader devices)
{
    private const int FirstSeason = 2000;
    private const int LastSeason = 2199;

    /// <summary>A farm's register, now or as of a journal position.</summary>
    public async Task<Result<ConfigurationSnapshot>> FarmAsync(
        string farm,
        string? asOf,
        CancellationToken cancellationToken
    )
    {
        var position = await PositionAsync(asOf, cancellationToken);
        return position.IsProblem ? position.Problem : await FarmAtAsync(farm, position.Value.AsOf, cancellationToken);
    }

    /// <summary>
    /// A farm's register and ledger, for the season asked for or else the latest one with lines or a plan; with the coverage of
    /// one field alone when one is named.
    /// </summary>
    public Task<Result<FarmSnapshot>> SnapshotAsync(
        string farm,
        string? field,
        string? season,
        string? asOf,
        CancellationToken cancellationToken
    ) =>
        ViewAsync(
            farm,
            season,
            asOf,
            (farmId, seen, position, cancellation) => ledgers.ReadAsync(farmId, field, seen, position, cancellation),
            (at, view, shown, seasons) => new FarmSnapshot(farm, at, view, shown, seasons),
            cancellationToken
        );

    /// <summary>The same without coverage, for questions that it has no part in.</summary>
    public Task<Result<FarmLines>> LinesAsync(
        string farm,
        string? season,
        string? asOf,
        CancellationToken cancellationToken
    ) =>
        ViewAsync(
            farm,
            season,
            asOf,
            ledgers.LinesAsync,
            (at, view, shown, seasons) => new FarmLines(farm, at, view, shown, seasons),
            cancellationToken
        );

    private async Task<Result<TStanding>> ViewAsync<TView, TStanding>(
        string farm,
        string? season,
        string? asOf,
        Func<string, int?, long?, CancellationToken, Task<TView>> read,
        Func<ConfigurationSnapshot, TView, int, IReadOnlyList<int>, TStanding> create,
        CancellationToken cancellationToken
    )
        where TView : LedgerLines
        where TStanding : class
    {
        if (season is not null && SeasonOf(season) is null)
            return ApiProblem.BadValue(
                "season",
                season,
                "Write the year in which the crop year ends, such as 2026. Leave it out for the latest season."
            );
        var position = await PositionAsync(asOf, cancellationToken);
        if (position.IsProblem)
            return position.Problem;
        var found = await FarmAtAsync(farm, position.Value.AsOf, cancellationToken);
        if (found.IsProblem)
            return found.Problem;
        var at = found.Value;
        // As of an earlier position everything is posted again at once, so one reading tells the seasons as well.
        var whole = position.Value.AsOf is null
            ? null
            : await read(at.FarmId, null, position.Value.AsOf, cancellationToken);
        var posted =
            whole?.Lines.Keys.Select(line => line.Season) ?? await ledgers.SeasonsAsync(at.FarmId, cancellationToken);
        IReadOnlyList<int> seasons = [.. posted.Union(at.Configuration.Plans.Select(plan => plan.Season)).Order()];
        // A farm with neither lines nor plans is shown in the season in which its ledger begins.
        var calendar = at.Configuration.Calendar!;
        var shown =
            (season is null ? null : SeasonOf(season))
            ?? seasons.DefaultIfEmpty(calendar.SeasonAt(calendar.LedgerBeginsMilliseconds)).Last();
        var view = whole ?? await read(at.FarmId, shown, null, cancellationToken);
        return create(at, view, shown, seasons);
    }

    private async Task<Result<ConfigurationSnapshot>> FarmAtAsync(
        string farm,
        long? asOf,
        CancellationToken cancellationToken
    )
    {
        var at = await configurations.ReadAsync(farm, asOf, cancellationToken);
        if (at.Configuration.Farm is not null)
            return at;
        var known = await configurations.FarmsAsync(cancellationToken);
        return asOf is { } position && known.Contains(farm)
            ? ApiProblem.BadValue(
                "asOf",
                Text(position),
                $"Farm \"{farm}\" was registered after this position. Use a higher one."
            )
            : ApiProblem.UnknownFarm(farm, known);
    }

    private async Task<Result<Position>> PositionAsync(string? asOf, CancellationToken cancellationToken)
    {
        if (asOf is null)
            return new Position(null);
        var (journal, _) = await devices.PositionsAsync(cancellationToken);
        return
            long.TryParse(asOf, NumberStyles.None, CultureInfo.InvariantCulture, out var position)
            && position <= journal
            ? new Position(position)
            : ApiProblem.BadValue(
                "asOf",
                asOf,
                $"Write a journal position from 0 to {Text(journal)} (the newest). Leave it out for the newest."
            );
    }

    private static int? SeasonOf(string season) =>
        int.TryParse(season, NumberStyles.None, CultureInfo.InvariantCulture, out var year)
        && year is >= FirstSeason and <= LastSeason
            ? year
            : null;

    private static string Text(long number) => number.ToString(CultureInfo.InvariantCulture);

    private sealed record Position(long? AsOf);
}
