using System.Text.Json;
using NutrientLedger.Journal.Sampling;
using NutrientLedger.Journal.Spreading;
using NutrientLedger.Ledger.Configuration;
using NutrientLedger.Ledger.Sampling;
using NutrientLedger.Persistence.Configuration;
using NutrientLedger.Web.Contracts.Sampling;

namespace NutrientLedger.Web.Queries.Sampling;

/// <summary>Writes out how a sensor agrees with the laboratory and which calibration that suggests.</summary>
internal static class PairMapping
{
    private const double MillilitresPerCubicMetre = 1e6;

    public static PairsResponse Response(
        ConfigurationSnapshot at,
        string sensorId,
        Analyte analyte,
        int pitHours,
        Pairing pairing
    )
    {
        var check = pairing.Check;
        var it = check.Comparison;
        return new(
            at.FarmId,
            sensorId,
            CalibrationMapping.Word(analyte),
            Unit(analyte),
            pitHours,
            [.. check.Pairs.Select(pair => Pair(pair, at.Configuration.Calendar!))],
            pairing.Unpaired,
            check.Bias,
            it?.BiasLimit(SensorCheck.Confidence),
            it?.StandardErrorOfPrediction,
            it?.Slope,
            it?.SlopeStandardError,
            it?.Intercept,
            it?.InterceptStandardError,
            it?.SlopeIsSignificant(SensorCheck.Confidence),
            it?.Determination,
            pairing.Proposal(at.Configuration, sensorId, analyte),
            pitHours == Pairing.PitHoursDefault
                ? AdoptionRuleQuery.Response(at.Configuration, sensorId, analyte, pairing)
                : null,
            [.. Warnings(at.Configuration, sensorId, analyte, check)]
        );
    }

    private static PairResponse Pair(SamplePair pair, FarmCalendar calendar) =>
        new(
            pair.Window.Result.ReportId,
            pair.Window.Result.SampleId,
            calendar.ToFarmTime(pair.Window.FromMilliseconds),
            calendar.ToFarmTime(pair.Window.UntilMilliseconds),
            pair.Window.PitId,
            pair.Window.ApplicatorId,
            JsonNamingPolicy.CamelCase.ConvertName(pair.Passed.Lag.ToString()),
            pair.Laboratory,
            pair.Sensor,
            pair.Passed.VolumeMillilitres / MillilitresPerCubicMetre,
            pair.Passed.MillilitresWithout / MillilitresPerCubicMetre
        );

    private static IEnumerable<string> Warnings(
        FarmConfiguration configuration,
        string sensorId,
        Analyte analyte,
        SensorCheck check
    )
    {
        var (count, unlike) = (check.Pairs.Count, check.OutsideRange().ToArray());
        if (count == 0)
            yield return "No pairs yet. Enter laboratory reports of samples taken while the sensor was measuring.";
        else if (count == 1)
            yield return "One pair is too few to test the bias. Send more samples to the laboratory.";
        else if (check.Comparison is null)
            yield return $"{count} identical pairs cannot test the bias. Send more samples to the laboratory.";
        else if (count < SensorCheck.SlopePairsMin)
            yield return $"{count} pairs: bias only. A slope needs at least {SensorCheck.SlopePairsMin}.";
        else if (count < SensorCheck.FewBelow)
            yield return $"{count} pairs: use {SensorCheck.FewBelow} or more to detect smaller errors.";
        if (check is { Comparison: not null, Proposed: null })
            yield return "The differences may be chance. No calibration is proposed.";
        if (unlike.Length > 0)
            yield return $"In these samples the lab value is outside the sensor's range: {string.Join(", ", unlike.Select(pair => pair.Window.Result.ReportId))}.";
        if (Reports(check, HoseLag.Shifted) is { Length: > 0 } shifted)
            yield return $"Sampled at the applicator, measured at the pump ({shifted}): readings are shifted by the hose volume. The shift assumes no mixing in the hose. Sample well after a change, or beside the sensor.";
        if (Reports(check, HoseLag.NotKnown) is { Length: > 0 } unknown)
            yield return $"Sampled at the applicator, measured at the pump ({unknown}): the hose volume is unknown, so readings are not shifted. Set hoseVolumeCubicMetres of the sensor in the farm file, or sample beside the sensor.";
        else if (
            configuration.Sensors.Any(mounted =>
                mounted is { Place: SensorPlace.AtPump, HoseMillilitres: null } && mounted.SensorId == sensorId
            )
        )
            yield return "The sensor is or was at the pump and the hose volume is unknown. Sample beside the sensor, or set hoseVolumeCubicMetres in the farm file.";
        if (
            configuration.Calibrations.Adopted.Any(adopted =>
                adopted.SensorId == sensorId && adopted.Analyte == analyte
            )
        )
            yield return "A calibration is in force. Pairs use uncalibrated readings: this would replace the current calibration.";
    }

    private static string Reports(SensorCheck check, HoseLag lag) =>
        string.Join(
            ", ",
            check.Pairs.Where(pair => pair.Passed.Lag == lag).Select(pair => pair.Window.Result.ReportId)
        );

    private static string Unit(Analyte analyte) =>
        analyte == Analyte.DryMatter ? "parts per million of fresh mass" : "mg/L";
}
