using NutrientLedger.Journal.Storage;
using NutrientLedger.Ledger.Levels;
using NutrientLedger.Ledger.Lines;
using NutrientLedger.Web.Contracts.Storage;

namespace NutrientLedger.Web.Queries.Storage;

/// <summary>Writes out what is in the pits and what was drawn from them.</summary>
internal static class PitMapping
{
    public static PitResponse Pit(PitRegistered pit, PitInventory inventory) =>
        new(
            pit.PitId,
            pit.Name,
            pit.FullDepthMillimetres / 1000.0,
            inventory.FullCubicMetres,
            inventory.Latest?.LastMetres,
            inventory.Latest?.LastMeasuredAt,
            inventory.Latest?.VolumeCubicMetres,
            inventory.ShareFull,
            inventory.Drawn.Sum(drawn => drawn.CubicMetres),
            [
                .. inventory.Drawn.Select(drawn => new DrawnResponse(
                    drawn.ApplicatorId,
                    drawn.CubicMetres,
                    drawn.UnknownIntervals
                )),
            ],
            inventory.Note
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

    /// <summary>The lines of hours that begin between two moments, both included.</summary>
    public static IEnumerable<KeyValuePair<LineKey, LineAmounts>> Between(
        IEnumerable<KeyValuePair<LineKey, LineAmounts>> lines,
        DateTimeOffset? from,
        DateTimeOffset? to
    ) =>
        lines.Where(line =>
            (from is null || line.Key.HourStartSeconds >= from.Value.ToUnixTimeSeconds())
            && (to is null || line.Key.HourStartSeconds <= to.Value.ToUnixTimeSeconds())
        );
}
