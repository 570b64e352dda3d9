namespace NutrientLedger.Persistence;

/// <summary>A database that another version of the hub made. It was left as it is.</summary>
/// <param name="database">The name of the database.</param>
/// <param name="host">The server's name, or the folder of its socket.</param>
/// <param name="found">The schema version noted in the database, or null when none is.</param>
public sealed class SchemaVersionException(string database, string host, int? found)
    : Exception(
        $"The database \"{database}\" on {host} was made by another version of the hub: its schema version is "
            + $"{(found is { } number ? FormattableString.Invariant($"{number}") : "not noted")}, this hub needs version "
            + $"{SchemaMigration.Version}. Nothing in it was changed."
    );
