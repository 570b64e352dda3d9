using System.Globalization;
using NutrientLedger.Store;

namespace NutrientLedger.Office.Asking;

/// <summary>Finds the farm, season and journal position that a question names, or says what to ask instead.</summary>
internal sealed class FarmInquiry(RegisterStore registers, LedgerReader ledgers, DeviceReader devices)
{
    private const int FirstSeason = 2000;
    private const int LastSeason = 2199;

    /// <summary>A farm's register, now or as of a journal position.</summary>
    public async Task<Asked<RegisterAt>> FarmAsync(string farm, string? asOf, CancellationToken cancellationToken)
    {
        var position = await PositionAsync(asOf, cancellationToken);
        return position.IsRefused ? position.Refusal : await FarmAtAsync(farm, position.Found.AsOf, cancellationToken);
    }

    /// <summary>
    /// A farm's register and ledger, for the season asked for or else the latest one with lines or a plan; with the coverage of
    /// one field alone when one is named.
    /// </summary>
    public Task<Asked<FarmStanding>> StandingAsync(
        string farm,
        string? field,
        string? season,
        string? asOf,
        CancellationToken cancellationToken
    ) =>
        SeenAsync(
            farm,
            season,
            asOf,
            (farmId, seen, position, cancellation) => ledgers.ReadAsync(farmId, field, seen, position, cancellation),
            (at, view, shown, seasons) => new FarmStanding(farm, at, view, shown, seasons),
            cancellationToken
        );

    /// <summary>The same without coverage, for questions that it has no part in.</summary>
    public Task<Asked<FarmLines>> LinesAsync(
        string farm,
        string? season,
        string? asOf,
        CancellationToken cancellationToken
    ) =>
        SeenAsync(
            farm,
            season,
            asOf,
            ledgers.LinesAsync,
            (at, view, shown, seasons) => new FarmLines(farm, at, view, shown, seasons),
            cancellationToken
        );

    private async Task<Asked<TStanding>> SeenAsync<TView, TStanding>(
        string farm,
        string? season,
        string? asOf,
        Func<string, int?, long?, CancellationToken, Task<TView>> read,
        Func<RegisterAt, TView, int, IReadOnlyList<int>, TStanding> standing,
        CancellationToken cancellationToken
    )
        where TView : LedgerLines
        where TStanding : class
    {
        if (season is not null && SeasonOf(season) is null)
            return Refusal.BadValue(
                "season",
                season,
                "A season is the year in which the crop year ends, such as 2026. Leave it out for the latest."
            );
        var position = await PositionAsync(asOf, cancellationToken);
        if (position.IsRefused)
            return position.Refusal;
        var found = await FarmAtAsync(farm, position.Found.AsOf, cancellationToken);
        if (found.IsRefused)
            return found.Refusal;
        var at = found.Found;
        // As of an earlier position everything is posted again at once, so one reading tells the seasons as well.
        var whole = position.Found.AsOf is null
            ? null
            : await read(at.FarmId, null, position.Found.AsOf, cancellationToken);
        var posted =
            whole?.Lines.Keys.Select(line => line.Season) ?? await ledgers.SeasonsAsync(at.FarmId, cancellationToken);
        IReadOnlyList<int> seasons = [.. posted.Union(at.Register.Plans.Select(plan => plan.Season)).Order()];
        // A farm with neither lines nor plans is shown in the season in which its ledger begins.
        var calendar = at.Register.Calendar!;
        var shown =
            (season is null ? null : SeasonOf(season))
            ?? seasons.DefaultIfEmpty(calendar.SeasonAt(calendar.LedgerBeginsMilliseconds)).Last();
        var view = whole ?? await read(at.FarmId, shown, null, cancellationToken);
        return standing(at, view, shown, seasons);
    }

    private async Task<Asked<RegisterAt>> FarmAtAsync(string farm, long? asOf, CancellationToken cancellationToken)
    {
        var at = await registers.ReadAsync(farm, asOf, cancellationToken);
        if (at.Register.Farm is not null)
            return at;
        var known = await registers.FarmsAsync(cancellationToken);
        return asOf is { } position && known.Contains(farm)
            ? Refusal.BadValue(
                "asOf",
                Text(position),
                $"Farm \"{farm}\" was registered later; ask for a higher position."
            )
            : Refusal.UnknownFarm(farm, known);
    }

    private async Task<Asked<Position>> PositionAsync(string? asOf, CancellationToken cancellationToken)
    {
        if (asOf is null)
            return new Position(null);
        var (journal, _) = await devices.PositionsAsync(cancellationToken);
        return
            long.TryParse(asOf, NumberStyles.None, CultureInfo.InvariantCulture, out var position)
            && position <= journal
            ? new Position(position)
            : Refusal.BadValue(
                "asOf",
                asOf,
                $"It is a journal position: a whole number from 0 to {Text(journal)}, the newest one. Leave it out to see the newest."
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
