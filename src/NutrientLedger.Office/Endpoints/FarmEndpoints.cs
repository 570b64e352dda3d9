using System.Globalization;
using System.Text.Json;
using Microsoft.AspNetCore.Builder;
using Microsoft.AspNetCore.Http;
using Microsoft.AspNetCore.Http.HttpResults;
using Microsoft.AspNetCore.Routing;
using NutrientLedger.Journal;
using NutrientLedger.Office.Answers;
using NutrientLedger.Office.Asking;
using NutrientLedger.Store;

namespace NutrientLedger.Office.Endpoints;

/// <summary>Farms and their registers.</summary>
internal static class FarmEndpoints
{
    public static void MapFarms(this RouteGroupBuilder api)
    {
        api.MapGet("/farms", FarmsAsync).WithSummary("The farms this hub keeps ledgers for").WithTags("Farms");
        api.MapGet("/farms/{farm}/register", RegisterAsync)
            .WithSummary("Every register entry of a farm, oldest first")
            .WithTags("Register")
            .ProducesProblem(StatusCodes.Status400BadRequest)
            .ProducesProblem(StatusCodes.Status404NotFound);
    }

    private static async Task<Ok<FarmList>> FarmsAsync(RegisterStore registers, CancellationToken cancellationToken)
    {
        var farms = new List<FarmAnswer>();
        foreach (var id in await registers.FarmsAsync(cancellationToken))
            if ((await registers.ReadAsync(id, null, cancellationToken)).Register is { Farm: { } farm } register)
                farms.Add(
                    new(
                        id,
                        farm.Name,
                        farm.TimeZone,
                        string.Create(
                            CultureInfo.InvariantCulture,
                            $"{farm.SeasonFirstMonth:00}-{farm.SeasonFirstDay:00}"
                        ),
                        farm.LedgerBegins,
                        [.. register.Plans.Select(plan => plan.Season).Distinct().Order()]
                    )
                );
        return TypedResults.Ok(new FarmList(farms));
    }

    private static async Task<Results<Ok<RegisterAnswer>, ProblemHttpResult>> RegisterAsync(
        string farm,
        string? asOf,
        FarmInquiry farms,
        CancellationToken cancellationToken
    )
    {
        var asked = await farms.FarmAsync(farm, asOf, cancellationToken);
        if (asked.IsRefused)
            return asked.Refusal;
        return TypedResults.Ok(
            new RegisterAnswer(farm, Question.Position(asOf), [.. asked.Found.Entries.Select(Entry)])
        );
    }

    private static RegisterEntryAnswer Entry(RecordedEntry recorded) =>
        new(
            recorded.Position,
            recorded.RecordedAt,
            StoredNames.Of(recorded.Entry),
            JsonSerializer.SerializeToElement(recorded.Entry, recorded.Entry.GetType(), EntryForm.Json)
        );
}
