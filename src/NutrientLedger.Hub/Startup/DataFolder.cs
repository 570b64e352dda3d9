using NutrientLedger.Hub.Startup.Options;

namespace NutrientLedger.Hub.Startup;

/// <summary>Where the hub keeps its data on this machine.</summary>
internal static class DataFolder
{
    /// <summary>
    /// The default: /var/lib/nutrient-ledger for root, because the database server then runs under an account that
    /// cannot read root's home. Otherwise the user's folder for application data. Null for an account without one.
    /// </summary>
    public static string? Default =>
        Environment.IsPrivilegedProcess && !OperatingSystem.IsWindows() ? "/var/lib/nutrient-ledger"
        : UsersOwn is { Length: > 0 } own ? Path.Combine(own, "nutrient-ledger")
        : null;

    /// <summary>The chosen data folder as a full path.</summary>
    /// <exception cref="HubStartException">None is chosen and the account has none.</exception>
    public static string PathOf(HubOptions options) =>
        Path.GetFullPath(
            options.DataFolder
                ?? Default
                ?? throw new HubStartException("This account has no data folder. Set one with --data.")
        );

    /// <summary>
    /// Not verified on disk: a new account has no such folder yet, and would get the working directory instead.
    /// </summary>
    private static string UsersOwn =>
        Environment.GetFolderPath(
            Environment.SpecialFolder.LocalApplicationData,
            Environment.SpecialFolderOption.DoNotVerify
        );
}
