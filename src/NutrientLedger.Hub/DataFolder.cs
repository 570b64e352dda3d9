namespace NutrientLedger.Hub;

/// <summary>Where the hub keeps its own data on this machine.</summary>
public static class DataFolder
{
    /// <summary>
    /// The usual place: /var/lib/nutrient-ledger for root (the database server then runs under an account that cannot read
    /// root's home), otherwise the user's own folder for application data.
    /// </summary>
    public static string Usual =>
        Environment.IsPrivilegedProcess && !OperatingSystem.IsWindows()
            ? "/var/lib/nutrient-ledger"
            : Path.Combine(
                Environment.GetFolderPath(Environment.SpecialFolder.LocalApplicationData),
                "nutrient-ledger"
            );
}
