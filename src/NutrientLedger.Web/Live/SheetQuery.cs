using NutrientLedger.Ledger.Fields;
using NutrientLedger.Ledger.Levels;
using NutrientLedger.Ledger.Meters;
using NutrientLedger.Persistence.Queries;
using NutrientLedger.Web.Contracts.Farms;
using NutrientLedger.Web.Contracts.Storage;
using NutrientLedger.Web.Http;
using NutrientLedger.Web.Queries;
using NutrientLedger.Web.Queries.Fields;
using NutrientLedger.Web.Queries.Storage;

namespace NutrientLedger.Web.Live;

/// <summary>Reads everything that the live page shows of a farm.</summary>
internal sealed class SheetQuery(
    FarmQuery farms,
    SeasonQuery seasons,
    LedgerReader ledgers,
    PitLevelReader pitLevels,
    DeviceReader deviceReader,
    InterruptionQuery meters
)
{
    public async Task<Result<SheetResponse>> SheetAsync(
        string farm,
        string? season,
        CancellationToken cancellationToken
    )
    {
        var found = await farms.FarmAsync(farm, asOf: null, cancellationToken);
        if (found.IsProblem)
            return found.Problem;
        var result = await seasons.SnapshotAsync(found.Value, asOf: null, field: null, season, cancellationToken);
        if (result.IsProblem)
            return result.Problem;
        var snapshot = result.Value;
        var configuration = snapshot.Configuration;
        var devices = await deviceReader.DevicesAsync(farm, cancellationToken);
        // After the lines: what was posted meanwhile is then missing for a moment, but never counted twice.
        var interruptions = await meters.NowAsync(farm, configuration, cancellationToken);
        var elsewhere = FieldBalance.OutsideFields(snapshot.Configuration, snapshot.View.Lines, snapshot.Season);
        return new SheetResponse(
            farm,
            configuration.Farm!.Name,
            configuration.Farm.TimeZone,
            snapshot.Season,
            snapshot.Seasons,
            snapshot.View.Position,
            snapshot.At.Version,
            [.. configuration.Fields.Select(field => FieldMapping.Balance(snapshot, field))],
            await PitsAsync(snapshot, interruptions, asOf: null, cancellationToken),
            new(
                elsewhere.VolumeCubicMetres,
                elsewhere.NotPlacedCubicMetres,
                elsewhere.DisengagedCubicMetres,
                elsewhere.UnknownIntervals,
                InterruptionMapping.Sum(MeteredBetween.InSeason(interruptions, snapshot.Season))!,
                FieldMapping.InNoSpreadZones(elsewhere)
            ),
            [.. devices.Select(device => DeviceMapping.Device(farm, device, interruptions))]
        );
    }

    /// <summary>
    /// The pits with their newest levels and the volumes drawn in the season. Interruptions are null as of a position.
    /// </summary>
    public async Task<IReadOnlyList<PitResponse>> PitsAsync(
        FarmLines snapshot,
        IReadOnlyList<MeterInterruption>? interruptions,
        long? asOf,
        CancellationToken cancellationToken
    )
    {
        var drawn = snapshot.View.Lines.Where(line => line.Key.Season == snapshot.Season).ToList();
        var summaries = asOf is null
            ? await pitLevels.SummariesAsync(snapshot.FarmId, [.. snapshot.Configuration.Pits], cancellationToken)
            : null;
        var pits = new List<PitResponse>();
        foreach (var pit in snapshot.Configuration.Pits)
        {
            var summary = summaries?.GetValueOrDefault(pit.PitId);
            IReadOnlyList<(LevelKey, LevelHour)> levels =
                summaries is null
                    ? await ledgers.LevelsAsync(snapshot.FarmId, pit.PitId, null, null, asOf, cancellationToken)
                : summary is null ? []
                : [(summary.NewestKey, summary.Newest)];
            var between = interruptions is null
                ? null
                : MeteredBetween.FromPit(interruptions, pit.PitId, snapshot.Season);
            var inventory = PitInventory.Of(snapshot.Configuration, pit, levels, drawn, between);
            if (summary is not null)
                inventory = inventory with { Hours = summary.Hours, HoursOutsideShape = summary.HoursOutsideShape };
            pits.Add(PitMapping.Pit(pit, inventory, snapshot.View.UnpostedBatches));
        }
        return pits;
    }
}
