using NutrientLedger.Ledger.Coverage;
using NutrientLedger.Ledger.Levels;
using NutrientLedger.Ledger.Lines;
using NutrientLedger.Ledger.Posting;

namespace NutrientLedger.Persistence.ReadModel;

/// <summary>Takes a statement whose values stand as ? in it, to be run with others in one transaction.</summary>
internal delegate void QueueSqlCommand(string sql, params object[] values);

/// <summary>Queues the rows of a piece of ledger into a transaction, each kind as one set-based statement.</summary>
internal sealed class LedgerWriter(QueueSqlCommand queue, string farmId)
{
    /// <summary>Adds the lines and level hours to those of a generation, and puts the tiles in place of theirs.</summary>
    public void Add(LedgerAddition piece, int generation)
    {
        AddSums(piece, generation);
        PutTiles([.. piece.Tiles], generation);
    }

    /// <summary>Adds the lines and level hours alone.</summary>
    public void AddSums(LedgerAddition piece, int generation)
    {
        AddLines([.. piece.Lines], generation);
        FlagRows.Add(queue, farmId, generation, piece.Lines);
        AddLevels([.. piece.Levels], generation);
    }

    /// <summary>Puts tiles in place of those of a generation.</summary>
    public void PutTiles(KeyValuePair<TileKey, StoredTile>[] tiles, int generation)
    {
        if (tiles.Length == 0)
            return;
        T[] Column<T>(Func<TileKey, T> of) => Array.ConvertAll(tiles, tile => of(tile.Key));
        byte[][] Bytes(Func<StoredTile, byte[]> of) => Array.ConvertAll(tiles, tile => of(tile.Value));
        queue(
            """
            insert into ledger.tile (farm, generation, field, season, tile_row, tile_column, visits, covered, overlapped)
            select ?, ?, * from unnest(?, ?, ?, ?, ?, ?, ?)
            on conflict (farm, generation, season, field, tile_row, tile_column) do update set
                visits = excluded.visits, covered = excluded.covered, overlapped = excluded.overlapped
            """,
            farmId,
            generation,
            Column(key => key.FieldId),
            Column(key => key.Season),
            Column(key => key.TileRow),
            Column(key => key.TileColumn),
            Bytes(tile => tile.Visits),
            Bytes(tile => tile.Covered),
            Bytes(tile => tile.Overlapped)
        );
    }

    /// <summary>
    /// Moves the ledger on from where it was found. If somebody else has moved it or switched its generation meanwhile, the
    /// whole transaction fails. So it comes first: the farm stays locked until the rest is written.
    /// </summary>
    public void Advance(CurrentGeneration from, long to, long registerPosition, long wantedPosition) =>
        queue(
            "select ledger.advance(?, ?, ?, ?, ?, ?)",
            farmId,
            from.Generation,
            from.Position,
            to,
            registerPosition,
            wantedPosition
        );

    private void AddLines(KeyValuePair<LineKey, LineAmounts>[] lines, int generation)
    {
        if (lines.Length == 0)
            return;
        T[] Column<T>(Func<LineAmounts, T> of) => Array.ConvertAll(lines, line => of(line.Value));
        T[] KeyColumn<T>(Func<LineKey, T> of) => Array.ConvertAll(lines, line => of(line.Key));
        decimal[] Sum(Func<LineAmounts, AnalyteSums> of) => Column(amounts => (decimal)of(amounts).WeightedSum);
        long[] Without(Func<LineAmounts, AnalyteSums> of) => Column(amounts => of(amounts).MillilitresWithout);
        queue(
            """
            insert into ledger.line as old
            select ?, ?, * from unnest(?, ?, ?, ?, ?, ?, ?, ?, ?, ?, ?, ?, ?, ?, ?, ?, ?, ?, ?, ?, ?, ?, ?)
            on conflict (farm, generation, season, field, hour, applicator, pit, sensor) do update set
                volume = old.volume + excluded.volume,
                disengaged = old.disengaged + excluded.disengaged,
                not_placed = old.not_placed + excluded.not_placed,
                unknown_intervals = old.unknown_intervals + excluded.unknown_intervals,
                intervals = old.intervals + excluded.intervals,
                area_travelled = old.area_travelled + excluded.area_travelled,
                last_measured = greatest(old.last_measured, excluded.last_measured),
                dm_sum = old.dm_sum + excluded.dm_sum,
                tn_sum = old.tn_sum + excluded.tn_sum,
                nh4n_sum = old.nh4n_sum + excluded.nh4n_sum,
                p_sum = old.p_sum + excluded.p_sum,
                k_sum = old.k_sum + excluded.k_sum,
                dm_without = old.dm_without + excluded.dm_without,
                tn_without = old.tn_without + excluded.tn_without,
                nh4n_without = old.nh4n_without + excluded.nh4n_without,
                p_without = old.p_without + excluded.p_without,
                k_without = old.k_without + excluded.k_without
            """,
            farmId,
            generation,
            KeyColumn(key => key.FieldId),
            KeyColumn(key => key.Season),
            KeyColumn(key => key.HourStartSeconds),
            KeyColumn(key => key.ApplicatorId),
            KeyColumn(key => key.PitId),
            KeyColumn(key => key.SensorId),
            Column(amounts => amounts.VolumeMillilitres),
            Column(amounts => amounts.DisengagedMillilitres),
            Column(amounts => amounts.NotPlacedMillilitres),
            Column(amounts => amounts.UnknownIntervals),
            Column(amounts => amounts.Intervals),
            Column(amounts => amounts.AreaTravelledSquareCentimetres),
            Column(amounts => amounts.LastMeasuredAtMilliseconds),
            Sum(amounts => amounts.DryMatter),
            Sum(amounts => amounts.TotalNitrogen),
            Sum(amounts => amounts.AmmoniumNitrogen),
            Sum(amounts => amounts.Phosphorus),
            Sum(amounts => amounts.Potassium),
            Without(amounts => amounts.DryMatter),
            Without(amounts => amounts.TotalNitrogen),
            Without(amounts => amounts.AmmoniumNitrogen),
            Without(amounts => amounts.Phosphorus),
            Without(amounts => amounts.Potassium)
        );
    }

    private void AddLevels(KeyValuePair<LevelKey, LevelHour>[] levels, int generation)
    {
        if (levels.Length == 0)
            return;
        T[] Column<T>(Func<LevelHour, T> of) => Array.ConvertAll(levels, level => of(level.Value));
        queue(
            """
            insert into ledger.level as old
            select ?, ?, * from unnest(?, ?, ?, ?, ?, ?, ?, ?, ?, ?)
            on conflict (farm, generation, pit, hour) do update set
                (first_at, first_mm) = (
                    select at, mm from (values (old.first_at, old.first_mm), (excluded.first_at, excluded.first_mm))
                    as both_ (at, mm) order by at, mm limit 1),
                (last_at, last_mm) = (
                    select at, mm from (values (old.last_at, old.last_mm), (excluded.last_at, excluded.last_mm))
                    as both_ (at, mm) order by at desc, mm desc limit 1),
                lowest_mm = least(old.lowest_mm, excluded.lowest_mm),
                highest_mm = greatest(old.highest_mm, excluded.highest_mm),
                readings = old.readings + excluded.readings,
                sum_mm = old.sum_mm + excluded.sum_mm
            """,
            farmId,
            generation,
            Array.ConvertAll(levels, level => level.Key.PitId),
            Array.ConvertAll(levels, level => level.Key.HourStartSeconds),
            Column(hour => hour.FirstAtMilliseconds),
            Column(hour => hour.FirstMillimetres),
            Column(hour => hour.LastAtMilliseconds),
            Column(hour => hour.LastMillimetres),
            Column(hour => hour.LowestMillimetres),
            Column(hour => hour.HighestMillimetres),
            Column(hour => hour.Readings),
            Column(hour => hour.SumMillimetres)
        );
    }
}
