using System.Globalization;
using System.Net.Mime;
using Microsoft.AspNetCore.Builder;
using Microsoft.AspNetCore.Http;
using Microsoft.AspNetCore.Http.HttpResults;
using Microsoft.AspNetCore.Routing;
using NutrientLedger.Ledger.Corrections;
using NutrientLedger.Persistence.Seals;
using NutrientLedger.Persistence.Statements;
using NutrientLedger.Web.Contracts.Farms;
using NutrientLedger.Web.Http;
using NutrientLedger.Web.Paper;
using NutrientLedger.Web.Wording;

namespace NutrientLedger.Web.Endpoints;

/// <summary>Statements of corrections: list, the stored JSON, and a page to print.</summary>
internal static class StatementEndpoints
{
    private const int CountDefault = 100;
    private const int CountMax = 1000;

    public static void MapStatements(this RouteGroupBuilder farm)
    {
        var statements = farm.MapGroup("/statements")
            .WithTags("Statements")
            .ProducesProblem(StatusCodes.Status400BadRequest);
        statements.MapGet("", ListAsync).WithSummary("Statements of corrections, oldest first");
        statements
            .MapGet("/{position}", ShowAsync)
            .WithSummary("What a correction changed: JSON, or a page to print")
            .Produces<Statement>()
            .Produces(StatusCodes.Status200OK, contentType: MediaTypeNames.Text.Html);
    }

    private static async Task<Results<Ok<StatementList>, ProblemHttpResult>> ListAsync(
        string farm,
        string? after,
        string? limit,
        RequestedFarm requested,
        StatementReader statements,
        CancellationToken cancellationToken
    )
    {
        if (Number(after ?? "0") is not { } from)
            return ApiProblem.BadValue("after", after!, "It is a journal position: a whole number from 0 up.");
        if (Number(limit ?? Text(CountDefault)) is not ({ } count and >= 1 and <= CountMax))
            return ApiProblem.BadValue("limit", limit!, $"Write a whole number from 1 to {CountMax}.");
        // One more than the limit shows whether there is a next page.
        var kept = await statements.ListAsync(farm, from, (int)count + 1, cancellationToken);
        var wording = new StatementWording(requested.Snapshot);
        var shown = kept.Take((int)count).Select(one => Listed(one, wording)).ToList();
        return TypedResults.Ok(new StatementList(farm, shown, kept.Count > count ? shown[^1].Position : null));
    }

    private static async Task<Results<ContentHttpResult, ProblemHttpResult>> ShowAsync(
        string farm,
        string position,
        string? units,
        string? print,
        HttpContext context,
        RequestedFarm requested,
        StatementReader statements,
        SealReader seals,
        CancellationToken cancellationToken
    )
    {
        if (Number(position) is not { } at)
            return ApiProblem.BadValue("position", position, "It is a journal position: a whole number from 0 up.");
        if (DisplayUnits.Named(units) is not { } chosen)
            return PaperResponse.BadUnits(units!);
        if (await statements.FindAsync(farm, at, cancellationToken) is not { } kept)
            return ApiProblem.NotFound(
                $"Farm \"{farm}\" has no statement at {Text(at)}.",
                $"/api/farms/{farm}/statements lists them. A new statement appears a moment after its correction."
            );
        return PaperResponse.IsWanted(context, print)
            ? PaperResponse.Print(
                context,
                StatementPage.Of(
                    StatementCodec.Decode(kept.Text),
                    kept.MadeAt,
                    await seals.NewestAsync(farm, cancellationToken),
                    new(requested.Snapshot),
                    chosen
                )
            )
            : TypedResults.Text(kept.Text, MediaTypeNames.Application.Json);
    }

    private static StatementResponse Listed(StoredStatement kept, StatementWording wording)
    {
        var statement = StatementCodec.Decode(kept.Text);
        var cause = statement.Cause;
        return new(
            kept.Position,
            cause.RecordedAt,
            kept.MadeAt,
            cause.Kind,
            cause.Id,
            wording.What(cause, DisplayUnits.UsCustomary),
            wording.What(cause, DisplayUnits.Metric),
            wording.By(cause, DisplayUnits.Metric),
            wording.Reason(cause),
            StatementWording.Summary(statement),
            [.. statement.Fields.Select(field => field.Field).OfType<string>().Distinct()]
        );
    }

    private static long? Number(string text) =>
        long.TryParse(text, NumberStyles.None, CultureInfo.InvariantCulture, out var number) ? number : null;

    private static string Text(long number) => number.ToString(CultureInfo.InvariantCulture);
}
