using Microsoft.Playwright;

namespace NutrientLedger.Browser.Tests;

/// <summary>The machine's own Chromium, headless. Nothing is downloaded.</summary>
public sealed class OpenBrowser : IAsyncLifetime
{
    /// <summary>The environment variable with the path of another browser.</summary>
    public const string Named = "NUTRIENT_LEDGER_TEST_BROWSER";

    /// <summary>Milliseconds, far more than any step takes on a busy machine; reached only by a failing test.</summary>
    private const float Patience = 240_000;

    private IPlaywright? playwright;
    private IBrowser? browser;

    public static string Program { get; } = Environment.GetEnvironmentVariable(Named) ?? "/usr/bin/chromium";

    public async Task InitializeAsync()
    {
        if (!File.Exists(Program))
            return;
        playwright = await Playwright.CreateAsync();
        browser = await playwright.Chromium.LaunchAsync(
            new()
            {
                ExecutablePath = Program,
                Headless = true,
                Timeout = Patience,
            }
        );
        Assertions.SetDefaultExpectTimeout(Patience);
    }

    public async Task DisposeAsync()
    {
        if (browser is not null)
            await browser.DisposeAsync();
        playwright?.Dispose();
    }

    /// <summary>A page in its own profile, so that remembered choices of one test do not reach another.</summary>
    public async Task<WatchedPage> OpenAsync(Uri address, int width = 1280, ColorScheme scheme = ColorScheme.Light)
    {
        var context = await browser!.NewContextAsync(
            new()
            {
                ViewportSize = new() { Width = width, Height = 900 },
                ColorScheme = scheme,
                Locale = "en-US",
            }
        );
        context.SetDefaultTimeout(Patience);
        var watched = new WatchedPage(await context.NewPageAsync());
        await watched.Page.GotoAsync(address.ToString());
        return watched;
    }
}
