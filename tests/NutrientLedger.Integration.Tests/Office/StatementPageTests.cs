using System.Net;
using System.Net.Http.Json;
using System.Text.Json;
using NutrientLedger.Integration.Tests.Fixtures;

namespace NutrientLedger.Integration.Tests.Office;

/// <summary>The printed statement of a correction that no laboratory had a part in.</summary>
public sealed class StatementPageTests(SpreadOffice office) : IClassFixture<SpreadOffice>
{
    private const string Statements = "/api/farms/asked/statements";

    [DatabaseFact]
    public async Task A_voiding_is_told_with_who_and_why_and_without_a_word_of_laboratories()
    {
        using var voided = await office.Client.PostAsJsonAsync(
            "/api/farms/asked/voidings",
            new
            {
                equipment = "drag-line",
                stream = "spread",
                boot = 1,
                firstSeq = 41,
                lastSeq = 60,
                part = "reading",
                reason = "Fouled window",
                decidedBy = "Ada Ash",
            }
        );
        Assert.True(voided.IsSuccessStatusCode, await voided.Content.ReadAsStringAsync());
        var id = (await voided.Content.ReadFromJsonAsync<JsonElement>()).Text("id")!;

        JsonElement[] told = [];
        await Store.StoreHost.UntilAsync(async () =>
        {
            told = [.. (await office.Client.AskAsync(Statements)).GetProperty("statements").EnumerateArray()];
            return told.Length == 1;
        });
        Assert.Equal(id, told[0].Text("id"));
        var page = WebUtility.HtmlDecode(
            await office.Client.GetStringAsync($"{Statements}/{told[0].GetProperty("position")}?print=1&units=metric")
        );

        // 59 intervals of 10 L before; the 40 readings that are left have 39.
        foreach (
            var words in (string[])
                [
                    "Readings 41 to 60 of drag-line, boot 1, declared void.",
                    "<dt>Decided by</dt><dd>Ada Ash</dd>",
                    "<dt>Why</dt><dd>Fouled window</dd>",
                    "volume, m³</th><td>0.59</td><td>0.39</td><td>−0.20</td>",
                ]
        )
            Assert.Contains(words, page, StringComparison.Ordinal);
        Assert.DoesNotContain("Laboratory", page, StringComparison.Ordinal);
    }
}
