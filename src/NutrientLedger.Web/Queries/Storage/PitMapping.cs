using NutrientLedger.Journal.Storage;
using NutrientLedger.Ledger.Levels;
using NutrientLedger.Web.Contracts.Storage;
using NutrientLedger.Web.Wording;

namespace NutrientLedger.Web.Queries.Storage;

/// <summary>Maps pits, levels and draws to responses.</summary>
internal static class PitMapping
{
    public static PitResponse Pit(PitRegistered pit, PitInventory inventory, int unpostedBatches) =>
        new(
            pit.PitId,
            pit.Name,
            inventory.FullMetres,
            inventory.FullCubicMetres,
            inventory.Latest?.LastMetres,
            inventory.Latest?.LastMeasuredAt,
            inventory.Latest?.VolumeCubicMetres,
            inventory.ShareFull,
            inventory.DrawnCubicMetres,
            [
                .. inventory.Drawn.Select(drawn => new DrawnResponse(
                    drawn.ApplicatorId,
                    drawn.CubicMetres,
                    drawn.UnknownIntervals
                )),
            ],
            InterruptionMapping.Sum(inventory.Between),
            string.Join(' ', [.. UnpostedWording.Of(unpostedBatches), .. PitNoteWording.Of(inventory)])
                is { Length: > 0 } note
                ? note
                : null
        );

    public static LevelResponse Level(PitLevel level) =>
        new(
            level.HourStart,
            level.LastMeasuredAt,
            level.LastMetres,
            level.LowestMetres,
            level.HighestMetres,
            level.MeanMetres,
            level.VolumeCubicMetres,
            level.OutsideShape
        );
}
