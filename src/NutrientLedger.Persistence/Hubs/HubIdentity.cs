using System.Security.Cryptography;

namespace NutrientLedger.Persistence.Hubs;

/// <summary>
/// The name of this run of the hub in the database: in the list of running hubs, and on each of its connections, so
/// that another hub can end them.
/// </summary>
internal sealed class HubIdentity
{
    /// <summary>For commands, which take over nothing and are never replaced.</summary>
    public static readonly HubIdentity None = new("");

    /// <summary>PostgreSQL cuts a connection's name at 63 bytes and allows ASCII only.</summary>
    private const int PartCharactersMax = 20;

    private HubIdentity(string name) => Name = name;

    /// <summary>The name, or "" for a command.</summary>
    public string Name { get; }

    /// <summary>A name that no other run of a hub has.</summary>
    /// <param name="program">What the connection string calls the program, or null.</param>
    public static HubIdentity Create(string? program) =>
        new(
            $"{Part(program ?? "nutrient-ledger")} {Part(Environment.MachineName)} {RandomNumberGenerator.GetHexString(12, lowercase: true)}"
        );

    private static string Part(string text) =>
        string.Concat(text.Where(c => char.IsAsciiLetterOrDigit(c) || c is '-' or '.').Take(PartCharactersMax));
}
