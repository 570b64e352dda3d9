using NutrientLedger.Hub.Startup.Options;

namespace NutrientLedger.Hub.Startup;

/// <summary>Where the hub keeps its own data on this machine.</summary>
public static class DataFolder
{
    /// <summary>
    /// The usual place: /var/lib/nutrient-ledger for root (the database server then runs under an account that cannot
    /// read root's home), else the user's folder for application data. Nothing for an account without one.
    /// </summary>
    public static string? Usual =>
        Environment.IsPrivilegedProcess && !OperatingSystem.IsWindows() ? "/var/lib/nutrient-ledger"
        : UsersOwn is { Length: > 0 } own ? Path.Combine(own, "nutrient-ledger")
        : null;

    /// <summary>The chosen data folder as a full path.</summary>
    /// <exception cref="HubStartException">None is chosen and the account has none.</exception>
    public static string PathOf(HubOptions options) =>
        Path.GetFullPath(
            options.DataFolder
                ?? Usual
                ?? throw new HubStartException("This account has no data folder. Set one with --data.")
        );

    /// <summary>
    /// Not looked for on the disk: a new account has none yet, and would be sent to the working directory.
    /// </summary>
    private static string UsersOwn =>
        Environment.GetFolderPath(
            Environment.SpecialFolder.LocalApplicationData,
            Environment.SpecialFolderOption.DoNotVerify
        );
}
