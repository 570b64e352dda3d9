using System.Net;
using System.Net.Http.Json;
using System.Text.Json;

namespace NutrientLedger.Integration.Tests.Hosts;

/// <summary>Queries Web over HTTP as any other program would, and reads the JSON without knowing its types.</summary>
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

    /// <summary>The problem details of a rejected query: what is wrong and what to do.</summary>
    public static async Task<string> ProblemAsync(this HttpClient client, HttpStatusCode status, string address)
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
