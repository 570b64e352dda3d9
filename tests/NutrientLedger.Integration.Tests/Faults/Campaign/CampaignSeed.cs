using System.Globalization;
using System.Reflection;

namespace NutrientLedger.Integration.Tests.Faults.Campaign;

/// <summary>
/// What a campaign begins with: a seed and a number of cases. Without one in the environment the seed is taken from
/// the commit that was built.
/// </summary>
internal static class CampaignSeed
{
    public const string SeedVariable = "NUTRIENT_LEDGER_TEST_SEED";
    public const string CasesVariable = "NUTRIENT_LEDGER_TEST_CASES";
    private const int CasesUsual = 40;

    public static int Seed =>
        int.TryParse(Environment.GetEnvironmentVariable(SeedVariable), CultureInfo.InvariantCulture, out var given)
            ? given
            : OfCommit();

    public static int Cases =>
        int.TryParse(Environment.GetEnvironmentVariable(CasesVariable), CultureInfo.InvariantCulture, out var given)
            ? given
            : CasesUsual;

    /// <summary>The command that repeats one case.</summary>
    public static string Command(int seed) =>
        $"{SeedVariable}={seed} {CasesVariable}=1 dotnet test tests/NutrientLedger.Integration.Tests --filter CampaignTests";

    private static int OfCommit()
    {
        var version = typeof(CampaignSeed)
            .Assembly.GetCustomAttribute<AssemblyInformationalVersionAttribute>()
            ?.InformationalVersion;
        return version?.Split('+') is [_, { Length: >= 7 } revision]
            ? int.Parse(revision.AsSpan(0, 6), NumberStyles.HexNumber, CultureInfo.InvariantCulture)
            : 20261201;
    }
}
