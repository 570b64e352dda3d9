using NutrientLedger.Journal.Sampling;
using NutrientLedger.Ledger.Adoption;
using NutrientLedger.Ledger.Configuration;
using NutrientLedger.Ledger.Sampling;
using NutrientLedger.Persistence.Queries;
using NutrientLedger.Web.Contracts.Sampling;
using NutrientLedger.Web.Wording;

namespace NutrientLedger.Web.Queries.Sampling;

/// <summary>Fetches what is to be paired, and writes out what the pairs propose.</summary>
internal static class Pairing
{
    /// <summary>Pairs all reports in force under a configuration with what the journal holds of the sensor.</summary>
    public static async Task<SamplePairing> ReadAsync(
        SampleReader samples,
        string farmId,
        FarmConfiguration configuration,
        string sensorId,
        Analyte analyte,
        int pitHours,
        CancellationToken cancellationToken
    )
    {
        var windows = SampledWindow.All(configuration, sensorId, pitHours);
        var passed = new SensorWindowSums(configuration, sensorId, analyte, windows);
        await samples.AddAsync(farmId, configuration, sensorId, windows, passed, cancellationToken);
        return SamplePairing.Of(windows, passed.Passed, analyte);
    }

    /// <summary>What the pairs propose, as a person would ask for it, with an id and a reason to start from.</summary>
    public static ProposalResponse? Proposal(
        FarmConfiguration configuration,
        string sensorId,
        Analyte analyte,
        SensorCheck check
    )
    {
        if (CalibrationCandidate.Proposed(configuration, sensorId, analyte, check) is not { } candidate)
            return null;
        var reason = Reason(check);
        var id = $"{sensorId}-{CalibrationMapping.Word(analyte)}-{candidate.ReportIds[^1]}";
        return new(
            CalibrationMapping.Request(candidate with { CalibrationId = id, Reason = reason }),
            check.Proposed!.SlopeStandardError,
            check.Proposed.InterceptStandardError,
            reason
        );
    }

    /// <summary>What was compared, in words.</summary>
    public static string Reason(SensorCheck check) =>
        $"{(check.ProposesSlope ? "Slope and intercept" : "Bias")} of {Plural.Of(check.Pairs.Count, "sample")} against the laboratory ({string.Join(", ", check.Pairs.Select(pair => pair.Window.Result.ReportId))}).";
}
