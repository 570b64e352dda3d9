using System.Globalization;
using Microsoft.AspNetCore.Http;
using Microsoft.AspNetCore.Http.HttpResults;
using NutrientLedger.Journal.Sampling;
using NutrientLedger.Persistence.Queries;
using NutrientLedger.Web.Contracts.Sampling;
using NutrientLedger.Web.Http;

namespace NutrientLedger.Web.Queries.Sampling;

/// <summary>Pairs what laboratories found with what a sensor measured.</summary>
internal sealed class PairQuery(FarmQuery farms, SampleReader samples)
{
    private const int PitHoursMax = 168;

    public async Task<Results<Ok<PairsResponse>, ProblemHttpResult>> AskAsync(
        string farm,
        string? sensor,
        string? analyte,
        string? pitHours,
        CancellationToken cancellationToken
    )
    {
        var result = await farms.FarmAsync(farm, null, cancellationToken);
        if (result.IsProblem)
            return result.Problem;
        var configuration = result.Value.Configuration;
        string[] sensors = [.. configuration.Sensors.Select(mounted => mounted.SensorId).Distinct()];
        if (sensor is null || !sensors.Contains(sensor))
            return ApiProblem.Unknown("sensor", sensor ?? "", farm, sensors);
        var analytes = Enum.GetValues<Analyte>().ToDictionary(CalibrationMapping.Word);
        if (!analytes.TryGetValue(analyte ?? "", out var wanted))
            return ApiProblem.BadValue("analyte", analyte ?? "", $"Write one of {string.Join(", ", analytes.Keys)}.");
        if (
            !int.TryParse(
                pitHours ?? $"{Pairing.PitHoursDefault}",
                NumberStyles.None,
                CultureInfo.InvariantCulture,
                out var hours
            ) || hours is < 1 or > PitHoursMax
        )
            return ApiProblem.BadValue(
                "pitHours",
                pitHours ?? "",
                $"Write whole hours from 1 to {PitHoursMax}. Within this time of a pit sample the manure counts as the same."
            );

        var pairing = await Pairing.ReadAsync(samples, farm, configuration, sensor, wanted, hours, cancellationToken);
        return TypedResults.Ok(PairMapping.Response(result.Value, sensor, wanted, hours, pairing));
    }
}
