using System.Globalization;
using Microsoft.AspNetCore.Http;
using Microsoft.AspNetCore.Http.HttpResults;
using NutrientLedger.Ledger.Sampling;
using NutrientLedger.Persistence.Configuration;
using NutrientLedger.Persistence.Queries;
using NutrientLedger.Web.Contracts.Sampling;
using NutrientLedger.Web.Http;

namespace NutrientLedger.Web.Queries.Sampling;

/// <summary>Pairs laboratory results with sensor readings.</summary>
internal sealed class PairQuery(SampleReader samples)
{
    public async Task<Results<Ok<PairsResponse>, ProblemHttpResult>> AskAsync(
        ConfigurationSnapshot at,
        string? sensor,
        string? analyte,
        string? pitHours,
        CancellationToken cancellationToken
    )
    {
        var configuration = at.Configuration;
        string[] sensors = [.. configuration.Sensors.Select(mounted => mounted.SensorId).Distinct()];
        if (sensor is null || !sensors.Contains(sensor))
            return ApiProblem.Unknown("sensor", sensor ?? "", at.FarmId, sensors);
        if (CalibrationMapping.Named(analyte) is not { } wanted)
            return ApiProblem.BadValue(
                "analyte",
                analyte ?? "",
                $"Write one of {string.Join(", ", CalibrationMapping.Words)}."
            );
        if (
            !int.TryParse(
                pitHours ?? $"{SampledWindow.PitHoursDefault}",
                NumberStyles.None,
                CultureInfo.InvariantCulture,
                out var hours
            ) || hours is < 1 or > SampledWindow.PitHoursMax
        )
            return ApiProblem.BadValue(
                "pitHours",
                pitHours ?? "",
                $"Write whole hours from 1 to {SampledWindow.PitHoursMax}. Within this time of a pit sample the manure counts as the same."
            );

        var pairing = await Pairing.ReadAsync(
            samples,
            at.FarmId,
            configuration,
            sensor,
            wanted,
            hours,
            cancellationToken
        );
        return TypedResults.Ok(PairMapping.Response(at, sensor, wanted, hours, pairing));
    }
}
