namespace NutrientLedger.Persistence.ReadModel;

/// <summary>The SQL command that adds rows to those of generations, with a ? for each array of values.</summary>
internal static class UpsertSql
{
    /// <summary>
    /// Inserts one row for each element of the arrays. The first value is the farm. One array for each column follows.
    /// </summary>
    /// <param name="table">
    /// The table, with its schema. In <paramref name="set"/> its row is called old, the new one excluded.
    /// </param>
    /// <param name="columns">All columns but the farm, in the order of the arrays.</param>
    /// <param name="key">Those that identify a row of the farm.</param>
    /// <param name="set">What becomes of a row that exists already, one assignment for each column.</param>
    public static string Of(string table, string columns, string key, IEnumerable<string> set) =>
        $"""
            insert into {table} as old (farm, {columns})
            select ?, * from unnest({string.Join(", ", columns.Split(',').Select(_ => "?"))})
            on conflict (farm, {key}) do update set {string.Join(", ", set)}
            """;

    /// <summary>The assignment that adds a new value to the old one.</summary>
    public static string Sum(string column) => $"{column} = old.{column} + excluded.{column}";

    /// <summary>The assignment that takes the new value.</summary>
    public static string Replace(string column) => $"{column} = excluded.{column}";
}
