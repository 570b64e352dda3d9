using NutrientLedger.Journal.Sampling;
using NutrientLedger.Ledger.Adoption;
using NutrientLedger.Ledger.Configuration;
using NutrientLedger.Ledger.Sampling;
using NutrientLedger.Persistence.Queries;
using NutrientLedger.Web.Contracts.Sampling;
using NutrientLedger.Web.Wording;

namespace NutrientLedger.Web.Queries.Sampling;

/// <summary>Reads what is to be paired, and builds the proposal of the pairs.</summary>
internal static class Pairing
{
    /// <summary>
    /// Pairs all reports in force in a configuration with the sensor's readings in the journal. Where they propose a
    /// calibration, the readings that it would correct are read too.
    /// </summary>
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
        var pairing = SamplePairing.Of(windows, passed.Passed, analyte, configuration.Calendar!);
        if (CalibrationCandidate.Proposed(configuration, sensorId, analyte, pairing.Check) is not { } proposed)
            return pairing;
        var since = proposed.ValidFrom!.Value.ToUnixTimeMilliseconds();
        var hours = new SensorHours(configuration, sensorId, analyte, since, long.MaxValue);
        await samples.AddAsync(farmId, configuration, sensorId, hours, cancellationToken);
        return pairing with { Check = pairing.Check.Against(hours) };
    }

    /// <summary>
    /// What to know before adopting a calibration: of the samples that it names, and of the readings that it would
    /// correct. Empty where it names none that has a counterpart.
    /// </summary>
    public static async Task<IReadOnlyList<string>> WarningsAsync(
        SampleReader samples,
        string farmId,
        FarmConfiguration configuration,
        CalibrationAdopted calibration,
        CancellationToken cancellationToken
    )
    {
        var (sensorId, analyte) = (calibration.SensorId, calibration.Analyte);
        SampledWindow[] windows =
        [
            .. SampledWindow
                .All(configuration, sensorId, SampledWindow.PitHoursDefault)
                .Where(window => calibration.ReportIds.Contains(window.Result.ReportId)),
        ];
        var passed = new SensorWindowSums(configuration, sensorId, analyte, windows);
        await samples.AddAsync(farmId, configuration, sensorId, windows, passed, cancellationToken);
        var check = SamplePairing.Of(windows, passed.Passed, analyte, configuration.Calendar!).Check;
        if (check.Pairs.Count == 0)
            return [];
        var hours = new SensorHours(
            configuration,
            sensorId,
            analyte,
            calibration.ValidFrom.ToUnixTimeMilliseconds(),
            calibration.ValidTo?.ToUnixTimeMilliseconds() ?? long.MaxValue,
            calibration.PitId
        );
        await samples.AddAsync(farmId, configuration, sensorId, hours, cancellationToken);
        check = check.Against(hours);
        var warnings = new List<string>();
        if (check.Days < SensorCheck.DaysMin)
            warnings.Add(CheckWording.TooFewDays(check));
        if (check.Readings!.IsTooMuch)
            warnings.Add(CheckWording.Outside(check.Readings));
        return warnings;
    }

    /// <summary>
    /// The calibration proposed by the pairs, as a request with a first id and reason; null when there is none.
    /// </summary>
    public static ProposalResponse? Proposal(
        FarmConfiguration configuration,
        string sensorId,
        Analyte analyte,
        SensorCheck check
    )
    {
        if (CalibrationCandidate.Proposed(configuration, sensorId, analyte, check) is not { } candidate)
            return null;
        var reason = CheckWording.Reason(check);
        var id = $"{sensorId}-{CalibrationMapping.Word(analyte)}-{candidate.ReportIds[^1]}";
        return new(
            CalibrationMapping.Request(candidate with { CalibrationId = id, Reason = reason }),
            check.Proposed!.SlopeStandardError,
            check.Proposed.InterceptStandardError,
            reason
        );
    }
}
