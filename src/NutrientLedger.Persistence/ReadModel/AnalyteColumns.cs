using System.Numerics;
using Npgsql;
using NutrientLedger.Ledger.Lines;

namespace NutrientLedger.Persistence.ReadModel;

/// <summary>The ten columns for dry matter and nutrients. Lines and flagged parts both have them.</summary>
internal static class AnalyteColumns
{
    /// <summary>The columns as they stand in a create statement.</summary>
    public const string Definition = """
        dm_sum numeric not null, dm_without bigint not null, tn_sum numeric not null, tn_without bigint not null,
            nh4n_sum numeric not null, nh4n_without bigint not null, p_sum numeric not null, p_without bigint not null,
            k_sum numeric not null, k_without bigint not null
        """;

    /// <summary>Their names, in the order in which they are read and written.</summary>
    public static readonly string[] Names =
    [
        "dm_sum",
        "dm_without",
        "tn_sum",
        "tn_without",
        "nh4n_sum",
        "nh4n_without",
        "p_sum",
        "p_without",
        "k_sum",
        "k_without",
    ];

    /// <summary>
    /// The arrays of values to write: dry matter, total nitrogen, ammonium nitrogen, phosphorus, potassium.
    /// </summary>
    public static IEnumerable<object> Values<T>(T[] rows, params Func<T, AnalyteSums>[] analytes)
    {
        foreach (var of in analytes)
        {
            yield return Array.ConvertAll(rows, row => (decimal)of(row).WeightedSum);
            yield return Array.ConvertAll(rows, row => of(row).MillilitresWithout);
        }
    }

    /// <summary>The sums in a column and the one after it.</summary>
    public static AnalyteSums Read(NpgsqlDataReader row, int column) =>
        new((Int128)row.GetFieldValue<BigInteger>(column), row.GetInt64(column + 1));
}
