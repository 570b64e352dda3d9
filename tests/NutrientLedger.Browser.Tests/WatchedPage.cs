using Microsoft.Playwright;

namespace NutrientLedger.Browser.Tests;

/// <summary>A page that collects all errors of its browser.</summary>
public sealed class WatchedPage : IAsyncDisposable
{
    private readonly List<string> complaints = [];

    public WatchedPage(IPage page)
    {
        Page = page;
        page.Console += (_, message) =>
        {
            if (message.Type is "error" or "warning")
                complaints.Add(message.Text);
        };
        page.PageError += (_, error) => complaints.Add(error);
    }

    public IPage Page { get; }

    public IReadOnlyList<string> Complaints => complaints;

    /// <summary>
    /// Waits until an element's text contains some words. Quantities join number and unit by a no-break space.
    /// </summary>
    public Task ShowsAsync(string selector, string words) =>
        Assertions.Expect(Page.Locator(selector)).ToContainTextAsync(words);

    /// <summary>Stores a picture of the whole page in a temporary folder. Returns its path.</summary>
    public async Task<string> PictureAsync(string name)
    {
        var folder = Directory.CreateDirectory(Path.Combine(Path.GetTempPath(), "nutrient-ledger-pictures"));
        var path = Path.Combine(folder.FullName, $"{name}.png");
        await Page.ScreenshotAsync(new() { Path = path, FullPage = true });
        return path;
    }

    public async ValueTask DisposeAsync() => await Page.Context.DisposeAsync();
}
