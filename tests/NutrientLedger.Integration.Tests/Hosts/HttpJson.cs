using System.Net;
using System.Net.Http.Json;
using System.Text.Json;

namespace NutrientLedger.Integration.Tests.Hosts;

/// <summary>
/// Asks the office as any other program would, over HTTP, and reads the JSON without knowing its types.
/// </summary>
internal static class HttpJson
{
    public static async Task<JsonElement> AskAsync(this HttpClient client, string address)
    {
        using var response = await client.GetAsync(address);
        Assert.True(
            response.IsSuccessStatusCode,
            $"{address} answered {response.StatusCode}: {await response.Content.ReadAsStringAsync()}"
        );
        return await response.Content.ReadFromJsonAsync<JsonElement>();
    }

    /// <summary>The problem with which a question is refused: what it is and what to do.</summary>
    public static async Task<string> RefusedAsync(this HttpClient client, HttpStatusCode status, string address)
    {
        using var response = await client.GetAsync(address);
        Assert.Equal(status, response.StatusCode);
        Assert.Equal("application/problem+json", response.Content.Headers.ContentType!.MediaType);
        var problem = await response.Content.ReadFromJsonAsync<JsonElement>();
        return $"{problem.GetProperty("title")} {problem.GetProperty("detail")}";
    }

    public static double Number(this JsonElement element, string property) => element.GetProperty(property).GetDouble();

    public static string? Text(this JsonElement element, string property) => element.GetProperty(property).GetString();
}
