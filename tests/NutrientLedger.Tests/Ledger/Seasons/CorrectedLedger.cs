using NutrientLedger.Journal;
using NutrientLedger.Journal.Spreading;
using NutrientLedger.Journal.Storage;
using NutrientLedger.Ledger;

namespace NutrientLedger.Tests.Ledger.Seasons;

/// <summary>A ledger that takes corrections by copying what they do not touch and posting the rest, as the store does with rows.</summary>
internal sealed class CorrectedLedger(Register register, LedgerBook? posted = null)
{
    private Register register = register;
    private Dictionary<LineKey, LineAmounts> lines = new(posted?.Lines ?? new Dictionary<LineKey, LineAmounts>());
    private Dictionary<TileKey, CoverageTile> tiles = new(posted?.Tiles ?? new Dictionary<TileKey, CoverageTile>());
    private Dictionary<LevelKey, LevelHour> levels = new(posted?.Levels ?? new Dictionary<LevelKey, LevelHour>());

    /// <summary>Whether some of the lines were copied.</summary>
    public bool Correct(IEntry[] late, IEnumerable<IEntry> packs, DateTimeOffset recorded)
    {
        var after = late.Aggregate(register, (so, entry) => so.With(entry));
        var touched = Touched.By(late, register, after, WorkedPlace.Of(lines));
        register = after;
        lines = lines.Where(line => touched?.Applicators.Contains(line.Key.ApplicatorId) == false).ToDictionary();
        tiles = tiles.Where(tile => touched?.Fields.Contains(tile.Key.FieldId) == false).ToDictionary();
        levels = levels.Where(_ => touched?.Levels == false).ToDictionary();
        var copied = lines.Count > 0;
        var anew = new LedgerBook(touched);
        foreach (var pack in packs.Where(pack => IsPosted(pack, touched)))
            anew.Post(pack, recorded, after);
        foreach (var (key, amounts) in anew.Lines)
            lines.Add(key, amounts);
        foreach (var (key, hour) in anew.Levels)
            levels.Add(key, hour);
        foreach (var (key, tile) in anew.Tiles)
        {
            if (tiles.TryGetValue(key, out var known))
                tile.Merge(known);
            tiles[key] = tile;
        }
        return copied;
    }

    public void AssertIs(LedgerBook expected) => SameLedger.Assert(expected, lines, tiles, levels);

    private static bool IsPosted(IEntry pack, Touched? touched) =>
        pack switch
        {
            SpreadingMeasured spread => touched?.Applicators.Contains(spread.Pack.EquipmentId) ?? true,
            StorageLevelMeasured => touched?.Levels ?? true,
            _ => false,
        };
}
