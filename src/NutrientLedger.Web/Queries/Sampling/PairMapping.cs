using System.Text.Json;
using NutrientLedger.Journal.Sampling;
using NutrientLedger.Ledger.Configuration;
using NutrientLedger.Ledger.Sampling;
using NutrientLedger.Persistence.Configuration;
using NutrientLedger.Web.Contracts.Sampling;
using NutrientLedger.Web.Wording;

namespace NutrientLedger.Web.Queries.Sampling;

/// <summary>Maps the comparison of a sensor with the laboratory, and the proposed calibration.</summary>
internal static class PairMapping
{
    private const double MillilitresPerCubicMetre = 1e6;

    public static PairsResponse Response(
        ConfigurationSnapshot at,
        string sensorId,
        Analyte analyte,
        int pitHours,
        SamplePairing pairing
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
            [.. pairing.Unpaired.Select(sample => new UnpairedResponse(sample.ReportId, Words(sample.Reason)))],
            check.Days,
            SensorCheck.Level,
            CheckWording.Test(check),
            check.Bias,
            check.Offset?.Limit(check.BiasLevel),
            check.Offset is null ? null : check.BiasLevel,
            it?.StandardErrorOfPrediction,
            check.Line?.Slope,
            check.Line?.SlopeStandardError,
            check.Line?.Intercept,
            check.Line?.InterceptStandardError,
            check.SlopeIsSignificant,
            it?.Determination,
            check.Readings is { } read
                ? new(read.Low, read.High, read.VolumeMillilitres / MillilitresPerCubicMetre, read.Share)
                : null,
            Pairing.Proposal(at.Configuration, sensorId, analyte, check),
            pitHours == SampledWindow.PitHoursDefault
                ? AdoptionRuleQuery.Response(at.Configuration, sensorId, analyte, check)
                : null,
            [.. PairCaveat.Of(at.Configuration, sensorId, analyte, check).Select(caveat => Words(caveat, check))]
        );
    }

    private static PairResponse Pair(SamplePair pair, FarmCalendar calendar) =>
        new(
            pair.Window.Result.ReportId,
            pair.FurtherReportIds,
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

    private static string Words(UnpairedReason reason) =>
        reason switch
        {
            UnpairedReason.NoLaboratoryValue => "The report has no value for this analyte.",
            UnpairedReason.NoFlow => "No flow passed the sensor while the sample was taken.",
            UnpairedReason.NoContent => "The sensor sent no content while the sample was taken.",
            _ => throw new ArgumentOutOfRangeException(nameof(reason)),
        };

    private static string Words(PairCaveat caveat, SensorCheck check)
    {
        var reports = string.Join(", ", caveat.ReportIds);
        return caveat.Kind switch
        {
            PairCaveatKind.NoPairs =>
                "No pairs yet. Enter laboratory reports of samples taken while the sensor was measuring.",
            PairCaveatKind.TooFewDays => CheckWording.TooFewDays(check),
            PairCaveatKind.AllAlike =>
                $"{caveat.Pairs} pairs in which the laboratory or the sensor always has the same value cannot test the bias. Sample other contents.",
            PairCaveatKind.BiasOnly =>
                $"{Plural.Of(caveat.Pairs, "pair")} on {Plural.Of(check.Days, "day")}: bias only. A slope needs {SensorCheck.SlopePairsMin} pairs on {SensorCheck.SlopeDaysMin} days.",
            PairCaveatKind.FewDays =>
                $"{Plural.Of(check.Days, "day")}: sample on {SensorCheck.FewDaysBelow} or more to detect smaller errors.",
            PairCaveatKind.NothingProposed =>
                $"The differences may be chance (tested at {CheckWording.Percent(SensorCheck.Level)}). No calibration is proposed.",
            PairCaveatKind.OutsideRange => CheckWording.Outside(check.Readings!),
            PairCaveatKind.SampleAgain =>
                $"Reports of a sample that is known already: {reports}. Same place, time and jar count as one sample, with the mean of values that differ.",
            PairCaveatKind.ShiftedByHose =>
                $"Sampled at the applicator, measured at the pump ({reports}): readings are shifted by the hose volume. The shift assumes no mixing in the hose. Sample well after a change, or at the sensor.",
            PairCaveatKind.HoseNotKnown =>
                $"Sampled at the applicator, measured at the pump ({reports}): the hose volume is unknown, so readings are not shifted. Set hoseVolumeCubicMetres of the sensor in the farm file, or sample at the sensor.",
            PairCaveatKind.PumpWithoutHose =>
                "The sensor is or was at the pump and the hose volume is unknown. Sample at the sensor, or set hoseVolumeCubicMetres in the farm file.",
            PairCaveatKind.AlreadyCalibrated =>
                "A calibration is in force. Pairs use uncalibrated readings: this would replace the current calibration.",
            _ => throw new ArgumentOutOfRangeException(nameof(caveat)),
        };
    }

    private static string Unit(Analyte analyte) =>
        analyte == Analyte.DryMatter ? "parts per million of fresh mass" : "mg/L";
}
