using System.Globalization;
using Microsoft.AspNetCore.Http;
using Microsoft.AspNetCore.Http.HttpResults;
using NutrientLedger.Journal.Sampling;
using NutrientLedger.Ledger;
using NutrientLedger.Office.Answers;
using NutrientLedger.Store;

namespace NutrientLedger.Office.Asking;

/// <summary>Pairs what laboratories found with what a sensor measured.</summary>
internal sealed class PairInquiry(FarmInquiry farms, SampleReader samples)
{
    // What leaves a pit within a day of sampling it is taken to be what was sampled (common practice, no source).
    private const int PitHoursUsual = 24;
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
                pitHours ?? $"{PitHoursUsual}",
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

        var windows = SampledWindow.All(register, sensor, hours);
        var passed = new PassedSensor(register, sensor, wanted, windows);
        await samples.AddAsync(farm, register, sensor, windows, passed, cancellationToken);
        return TypedResults.Ok(PairBook.Answer(asked.Found, sensor, wanted, hours, windows, passed.Passed));
    }
}
