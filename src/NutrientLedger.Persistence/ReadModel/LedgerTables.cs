namespace NutrientLedger.Persistence.ReadModel;

/// <summary>
/// The tables of posted ledgers. Everything in them can be rebuilt from the journal. Rows carry a generation, and only
/// those of a farm's current generation are read.
/// </summary>
internal static class LedgerTables
{
    /// <summary>Makes the schema and its tables.</summary>
    public const string Definition = $"""
        create schema ledger;

        {GenerationRows.Definition}

        {LineRows.Definition}

        {FlagRows.Definition}

        {TileRows.Definition}

        {LevelRows.Definition}
        """;

    /// <summary>The tables whose rows carry a generation, with all their columns but farm and generation.</summary>
    public static readonly (string Name, string Columns)[] Tables =
    [
        ("line", LineRows.Columns),
        ("flag", FlagRows.Columns),
        ("tile", TileRows.Columns),
        ("level", LevelRows.Columns),
    ];
}
