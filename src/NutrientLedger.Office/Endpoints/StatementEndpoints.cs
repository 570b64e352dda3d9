using System.Globalization;
using System.Net.Mime;
using Microsoft.AspNetCore.Builder;
using Microsoft.AspNetCore.Http;
using Microsoft.AspNetCore.Http.HttpResults;
using Microsoft.AspNetCore.Routing;
using NutrientLedger.Ledger;
using NutrientLedger.Office.Answers;
using NutrientLedger.Office.Asking;
using NutrientLedger.Store;

namespace NutrientLedger.Office.Endpoints;

/// <summary>Statements of what corrections of the past changed: listed, as the kept JSON, and as a page to print.</summary>
internal static class StatementEndpoints
{
    private const int UsualCount = 100;
    private const int MostCount = 1000;

    public static void MapStatements(this RouteGroupBuilder api)
    {
        var statements = api.MapGroup("/farms/{farm}/statements")
            .WithTags("Statements")
            .ProducesProblem(StatusCodes.Status400BadRequest)
            .ProducesProblem(StatusCodes.Status404NotFound);
        statements.MapGet("", ListAsync).WithSummary("The statements of corrections, in the order of the journal");
        statements
            .MapGet("/{position}", ShowAsync)
            .WithSummary("What the correction at a journal position changed: JSON, or a page to print")
            .Produces<Statement>()
            .Produces(StatusCodes.Status200OK, contentType: MediaTypeNames.Text.Html);
    }

    private static async Task<Results<Ok<StatementList>, ProblemHttpResult>> ListAsync(
        string farm,
        string? after,
        string? limit,
        FarmInquiry farms,
        StatementReader statements,
        CancellationToken cancellationToken
    )
    {
        var asked = await farms.FarmAsync(farm, asOf: null, cancellationToken);
        if (asked.IsRefused)
            return asked.Refusal;
        if (Number(after ?? "0") is not { } from)
            return Refusal.BadValue("after", after!, "It is a journal position: a whole number from 0 up.");
        if (Number(limit ?? Text(UsualCount)) is not ({ } count and >= 1 and <= MostCount))
            return Refusal.BadValue("limit", limit!, $"It is how many to list: a whole number from 1 to {MostCount}.");
        // One more than asked for tells whether there are more.
        var kept = await statements.ListAsync(farm, from, (int)count + 1, cancellationToken);
        var book = new StatementBook(asked.Found);
        var shown = kept.Take((int)count).Select(one => Listed(one, book)).ToList();
        return TypedResults.Ok(new StatementList(farm, shown, kept.Count > count ? shown[^1].Position : null));
    }

    private static async Task<Results<ContentHttpResult, ProblemHttpResult>> ShowAsync(
        string farm,
        string position,
        string? units,
        string? print,
        HttpContext context,
        FarmInquiry farms,
        StatementReader statements,
        CancellationToken cancellationToken
    )
    {
        var asked = await farms.FarmAsync(farm, asOf: null, cancellationToken);
        if (asked.IsRefused)
            return asked.Refusal;
        if (Number(position) is not { } at)
            return Refusal.BadValue("position", position, "It is a journal position: a whole number from 0 up.");
        if (StatementUnits.Named(units) is not { } chosen)
            return PaperEndpoints.BadUnits(units!);
        if (await statements.FindAsync(farm, at, cancellationToken) is not { } kept)
            return Refusal.NotFound(
                $"Farm \"{farm}\" has no statement at {Text(at)}.",
                $"/api/farms/{farm}/statements lists them; a correction has its statement a moment after it is posted."
            );
        return PaperEndpoints.IsWanted(context, print)
            ? PaperEndpoints.Print(
                context,
                StatementPage.Of(StatementForm.Read(kept.Text), kept.MadeAt, new(asked.Found), chosen)
            )
            : TypedResults.Text(kept.Text, MediaTypeNames.Application.Json);
    }

    private static StatementAnswer Listed(KeptStatement kept, StatementBook book)
    {
        var statement = StatementForm.Read(kept.Text);
        var cause = statement.Cause;
        return new(
            kept.Position,
            cause.RecordedAt,
            kept.MadeAt,
            cause.Kind,
            cause.Id,
            cause.What,
            book.What(cause, StatementUnits.UsCustomary),
            book.What(cause, StatementUnits.Metric),
            cause.By,
            cause.Why,
            statement.Summary,
            [.. statement.Fields.Select(field => field.Field).OfType<string>().Distinct()]
        );
    }

    private static long? Number(string text) =>
        long.TryParse(text, NumberStyles.None, CultureInfo.InvariantCulture, out var number) ? number : null;

    private static string Text(long number) => number.ToString(CultureInfo.InvariantCulture);
}
