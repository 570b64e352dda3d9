namespace NutrientLedger.Persistence.Statements;

/// <summary>The statements that are kept for ever, and up to which register entry each farm's corrections have been looked at.</summary>
internal static class StatementTables
{
    /// <summary>Makes the tables.</summary>
    public const string Definition = """
        create table ledger.statement (
            farm text, position bigint, body text not null, made_at timestamptz not null default now(),
            primary key (farm, position)
        );

        create table ledger.statement_progress (farm text primary key, position bigint not null);
        """;
}
