using System.Globalization;
using NutrientLedger.Persistence.Configuration;
using NutrientLedger.Persistence.Queries;
using NutrientLedger.Web.Http;

namespace NutrientLedger.Web.Queries;

/// <summary>Finds the farm and journal position of a request, or returns a problem.</summary>
internal sealed class FarmQuery(ConfigurationStore configurations, DeviceReader devices)
{
    /// <summary>The configuration of a farm, now or as of a journal position.</summary>
    public async Task<Result<ConfigurationSnapshot>> FarmAsync(
        string farm,
        string? asOf,
        CancellationToken cancellationToken
    )
    {
        var position = await PositionAsync(asOf, cancellationToken);
        return position.IsProblem ? position.Problem : await FarmAtAsync(farm, position.Value.AsOf, cancellationToken);
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

    private static string Text(long number) => number.ToString(CultureInfo.InvariantCulture);

    private sealed record Position(long? AsOf);
}
