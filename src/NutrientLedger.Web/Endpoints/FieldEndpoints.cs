using Microsoft.AspNetCore.Builder;
using Microsoft.AspNetCore.Http;
using Microsoft.AspNetCore.Http.HttpResults;
using Microsoft.AspNetCore.Routing;
using NutrientLedger.Ledger.Fields;
using NutrientLedger.Web.Contracts.Farms;
using NutrientLedger.Web.Contracts.Fields;
using NutrientLedger.Web.Http;
using NutrientLedger.Web.Queries;
using NutrientLedger.Web.Queries.Fields;

namespace NutrientLedger.Web.Endpoints;

/// <summary>Fields, their balances and applications.</summary>
internal static class FieldEndpoints
{
    public static void MapFields(this RouteGroupBuilder farm)
    {
        var fields = farm.MapGroup("/fields").WithTags("Fields").ProducesProblem(StatusCodes.Status400BadRequest);
        fields.MapGet("", Fields).WithSummary("The fields of a farm with their boundaries");
        fields
            .MapGet("/{field}/balance", BalanceAsync)
            .WithSummary("The nutrient balance of a field in a season, against its plan");
        fields.MapGet("/{field}/applications", ApplicationsAsync).WithSummary("What was spread on a field, day by day");
    }

    private static Ok<FieldList> Fields(string farm, string? asOf, RequestedFarm requested)
    {
        var configuration = requested.Configuration;
        return TypedResults.Ok(
            new FieldList(
                farm,
                requested.AsOf,
                [.. configuration.Fields.Select(field => FieldMapping.Field(configuration, field))]
            )
        );
    }

    private static async Task<Results<Ok<BalanceResponse>, ProblemHttpResult>> BalanceAsync(
        string farm,
        string field,
        string? season,
        string? asOf,
        RequestedFarm requested,
        SeasonQuery seasons,
        CancellationToken cancellationToken
    )
    {
        var result = await seasons.SnapshotAsync(requested.Snapshot, requested.AsOf, field, season, cancellationToken);
        if (result.IsProblem)
            return result.Problem;
        return requested.Configuration.Field(field) is { } known
            ? TypedResults.Ok(FieldMapping.Balance(result.Value, known))
            : UnknownField(result.Value, field);
    }

    private static async Task<Results<Ok<ApplicationList>, ProblemHttpResult>> ApplicationsAsync(
        string farm,
        string field,
        string? season,
        string? asOf,
        RequestedFarm requested,
        SeasonQuery seasons,
        CancellationToken cancellationToken
    )
    {
        var result = await seasons.LinesAsync(requested.Snapshot, requested.AsOf, season, cancellationToken);
        if (result.IsProblem)
            return result.Problem;
        var snapshot = result.Value;
        if (snapshot.Configuration.Field(field) is null)
            return UnknownField(snapshot, field);
        var applications = Applications.On(snapshot.Configuration, snapshot.View.Lines, field, snapshot.Season);
        return TypedResults.Ok(
            new ApplicationList(
                farm,
                field,
                snapshot.Season,
                snapshot.View.Position,
                [.. applications.Select(FieldMapping.Application)]
            )
        );
    }

    private static ProblemHttpResult UnknownField(FarmLines snapshot, string field) =>
        ApiProblem.Unknown(
            "field",
            field,
            snapshot.FarmId,
            snapshot.Configuration.Fields.Select(known => known.FieldId)
        );
}
