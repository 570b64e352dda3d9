using Microsoft.Playwright;

namespace NutrientLedger.Browser.Tests;

/// <summary>A page that remembers every complaint its browser made.</summary>
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
    /// Waits until an element's text holds some words; quantities keep number and unit together with a no-break space.
    /// </summary>
    public Task ShowsAsync(string selector, string words) =>
        Assertions.Expect(Page.Locator(selector)).ToContainTextAsync(words);

    /// <summary>Keeps a picture of the whole page in a temporary folder and gives its path.</summary>
    public async Task<string> PictureAsync(string name)
    {
        var folder = Directory.CreateDirectory(Path.Combine(Path.GetTempPath(), "nutrient-ledger-pictures"));
        var path = Path.Combine(folder.FullName, $"{name}.png");
        await Page.ScreenshotAsync(new() { Path = path, FullPage = true });
        return path;
    }

    public async ValueTask DisposeAsync() => await Page.Context.DisposeAsync();
}
