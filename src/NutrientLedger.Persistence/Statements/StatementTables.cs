namespace NutrientLedger.Persistence.Statements;

/// <summary>The statements that are kept for ever, and up to which register entry each farm's corrections have been looked at.</summary>
internal static class StatementTables
{
    /// <summary>Makes the tables where they are missing.</summary>
    public const string Definition = """
        create table if not exists ledger.statement (
            farm text, position bigint, body text not null, made_at timestamptz not null default now(),
            primary key (farm, position)
        );

        create table if not exists ledger.statement_mark (farm text primary key, position bigint not null);
        """;
}
