using NutrientLedger.Ledger;
using NutrientLedger.Office.Answers;
using NutrientLedger.Store;

namespace NutrientLedger.Office.Asking;

/// <summary>Gathers everything that the live page shows of a farm.</summary>
internal sealed class SheetInquiry(FarmInquiry farms, LedgerReader ledgers, DeviceReader senders)
{
    public async Task<Asked<SheetAnswer>> SheetAsync(string farm, string? season, CancellationToken cancellationToken)
    {
        var asked = await farms.StandingAsync(farm, field: null, season, asOf: null, cancellationToken);
        if (asked.IsRefused)
            return asked.Refusal;
        var standing = asked.Found;
        var register = standing.Register;
        var devices = await senders.DevicesAsync(farm, cancellationToken);
        var elsewhere = FieldBalance.OutsideFields(standing.Register, standing.View.Lines, standing.Season);
        return new SheetAnswer(
            farm,
            register.Farm!.Name,
            register.Farm.TimeZone,
            standing.Season,
            standing.Seasons,
            standing.View.Position,
            standing.At.Place,
            [.. register.Fields.Select(field => FieldBook.Balance(standing, field))],
            await PitsAsync(standing, asOf: null, cancellationToken),
            new(
                elsewhere.VolumeCubicMetres,
                elsewhere.NotPlacedCubicMetres,
                elsewhere.DisengagedCubicMetres,
                elsewhere.UnknownIntervals
            ),
            [.. devices.Select(device => DeviceBook.Device(device, register))]
        );
    }

    /// <summary>The pits with their newest levels and what was drawn in the season.</summary>
    public async Task<IReadOnlyList<PitAnswer>> PitsAsync(
        FarmLines standing,
        long? asOf,
        CancellationToken cancellationToken
    )
    {
        var drawn = standing.View.Lines.Where(line => line.Key.Season == standing.Season).ToList();
        var pits = new List<PitAnswer>();
        foreach (var pit in standing.Register.Pits)
        {
            var levels = await ledgers.LevelsAsync(standing.FarmId, pit.PitId, null, null, asOf, cancellationToken);
            pits.Add(PitBook.Pit(pit, PitInventory.Of(standing.Register, pit, levels, drawn)));
        }
        return pits;
    }
}
