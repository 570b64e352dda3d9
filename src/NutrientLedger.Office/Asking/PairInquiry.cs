using System.Globalization;
using Microsoft.AspNetCore.Http;
using Microsoft.AspNetCore.Http.HttpResults;
using NutrientLedger.Journal.Sampling;
using NutrientLedger.Office.Answers;
using NutrientLedger.Store;

namespace NutrientLedger.Office.Asking;

/// <summary>Pairs what laboratories found with what a sensor measured.</summary>
internal sealed class PairInquiry(FarmInquiry farms, SampleReader samples)
{
    private const int PitHoursMost = 168;

    public async Task<Results<Ok<PairsAnswer>, ProblemHttpResult>> AskAsync(
        string farm,
        string? sensor,
        string? analyte,
        string? pitHours,
        CancellationToken cancellationToken
    )
    {
        var asked = await farms.FarmAsync(farm, null, cancellationToken);
        if (asked.IsRefused)
            return asked.Refusal;
        var register = asked.Found.Register;
        string[] sensors = [.. register.Sensors.Select(mounted => mounted.SensorId).Distinct()];
        if (sensor is null || !sensors.Contains(sensor))
            return Refusal.Unknown("sensor", sensor ?? "", farm, sensors);
        var analytes = Enum.GetValues<Analyte>().ToDictionary(CalibrationBook.Word);
        if (!analytes.TryGetValue(analyte ?? "", out var wanted))
            return Refusal.BadValue("analyte", analyte ?? "", $"Write one of {string.Join(", ", analytes.Keys)}.");
        if (
            !int.TryParse(
                pitHours ?? $"{Pairing.PitHoursUsual}",
                NumberStyles.None,
                CultureInfo.InvariantCulture,
                out var hours
            ) || hours is < 1 or > PitHoursMost
        )
            return Refusal.BadValue(
                "pitHours",
                pitHours ?? "",
                $"Give whole hours from 1 to {PitHoursMost}: so long before and after a pit was sampled its manure is taken to be the same."
            );

        var pairing = await Pairing.ReadAsync(samples, farm, register, sensor, wanted, hours, cancellationToken);
        return TypedResults.Ok(PairBook.Answer(asked.Found, sensor, wanted, hours, pairing));
    }
}
