using Microsoft.AspNetCore.Builder;
using Microsoft.AspNetCore.Http;
using Microsoft.AspNetCore.Http.HttpResults;
using Microsoft.AspNetCore.Routing;
using NutrientLedger.Ledger;
using NutrientLedger.Office.Answers;
using NutrientLedger.Office.Asking;

namespace NutrientLedger.Office.Endpoints;

/// <summary>Fields, their balances and what was spread on them.</summary>
internal static class FieldEndpoints
{
    public static void MapFields(this RouteGroupBuilder api)
    {
        var fields = api.MapGroup("/farms/{farm}/fields")
            .WithTags("Fields")
            .ProducesProblem(StatusCodes.Status400BadRequest)
            .ProducesProblem(StatusCodes.Status404NotFound);
        fields.MapGet("", FieldsAsync).WithSummary("The fields of a farm with their boundaries");
        fields
            .MapGet("/{field}/balance", BalanceAsync)
            .WithSummary("The nutrient balance of a field in a season, against its plan");
        fields.MapGet("/{field}/applications", ApplicationsAsync).WithSummary("What was spread on a field, day by day");
    }

    private static async Task<Results<Ok<FieldList>, ProblemHttpResult>> FieldsAsync(
        string farm,
        string? asOf,
        FarmInquiry farms,
        CancellationToken cancellationToken
    )
    {
        var asked = await farms.FarmAsync(farm, asOf, cancellationToken);
        if (asked.IsRefused)
            return asked.Refusal;
        var register = asked.Found.Register;
        return TypedResults.Ok(
            new FieldList(
                farm,
                Question.Position(asOf),
                [.. register.Fields.Select(field => FieldBook.Field(register, field))]
            )
        );
    }

    private static async Task<Results<Ok<BalanceAnswer>, ProblemHttpResult>> BalanceAsync(
        string farm,
        string field,
        string? season,
        string? asOf,
        FarmInquiry farms,
        CancellationToken cancellationToken
    )
    {
        var asked = await farms.StandingAsync(farm, field, season, asOf, cancellationToken);
        if (asked.IsRefused)
            return asked.Refusal;
        return asked.Found.Register.Field(field) is { } known
            ? TypedResults.Ok(FieldBook.Balance(asked.Found, known))
            : UnknownField(asked.Found, field);
    }

    private static async Task<Results<Ok<ApplicationList>, ProblemHttpResult>> ApplicationsAsync(
        string farm,
        string field,
        string? season,
        string? asOf,
        FarmInquiry farms,
        CancellationToken cancellationToken
    )
    {
        var asked = await farms.LinesAsync(farm, season, asOf, cancellationToken);
        if (asked.IsRefused)
            return asked.Refusal;
        var standing = asked.Found;
        if (standing.Register.Field(field) is null)
            return UnknownField(standing, field);
        var applications = Applications.On(standing.Register, standing.View.Lines, field, standing.Season);
        return TypedResults.Ok(
            new ApplicationList(
                farm,
                field,
                standing.Season,
                standing.View.Position,
                [.. applications.Select(FieldBook.Application)]
            )
        );
    }

    private static ProblemHttpResult UnknownField(FarmLines standing, string field) =>
        Refusal.Unknown("field", field, standing.FarmId, standing.Register.Fields.Select(known => known.FieldId));
}
