using NutrientLedger.Integration.Tests.Fixtures;

namespace NutrientLedger.Browser.Tests;

/// <summary>
/// A test that needs a browser and PostgreSQL. Without one it is skipped locally and fails on a build server.
/// </summary>
[AttributeUsage(AttributeTargets.Method)]
public sealed class BrowserFactAttribute : FactAttribute
{
    public BrowserFactAttribute()
    {
        if (TestServer.NothingMayBeSkipped)
            return;
        if (!File.Exists(OpenBrowser.Program))
            Skip = $"No browser at {OpenBrowser.Program}: install chromium, or name one in {OpenBrowser.Named}.";
        else
            Skip = new DatabaseFactAttribute().Skip;
    }
}
