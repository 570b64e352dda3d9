using System.Text.Json;
using NutrientLedger.Journal.Sampling;
using NutrientLedger.Journal.Spreading;
using NutrientLedger.Ledger;
using NutrientLedger.Office.Answers;
using NutrientLedger.Store;

namespace NutrientLedger.Office.Asking;

/// <summary>Writes out how a sensor agrees with the laboratory and which calibration that suggests.</summary>
internal static class PairBook
{
    private const double MillilitresPerCubicMetre = 1e6;

    public static PairsAnswer Answer(RegisterAt at, string sensorId, Analyte analyte, int pitHours, Pairing pairing)
    {
        var check = pairing.Check;
        var it = check.Comparison;
        return new(
            at.FarmId,
            sensorId,
            CalibrationBook.Word(analyte),
            Unit(analyte),
            pitHours,
            [.. check.Pairs.Select(pair => Pair(pair, at.Register.Calendar!))],
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
            pairing.Proposal(at.Register, sensorId, analyte),
            pitHours == Pairing.PitHoursUsual ? RuleDesk.Answer(at.Register, sensorId, analyte, pairing) : null,
            [.. Warnings(at.Register, sensorId, analyte, check)]
        );
    }

    private static PairAnswer Pair(SamplePair pair, FarmCalendar calendar) =>
        new(
            pair.Window.Result.ReportId,
            pair.Window.Result.SampleId,
            calendar.OnTheClock(pair.Window.FromMilliseconds),
            calendar.OnTheClock(pair.Window.UntilMilliseconds),
            pair.Window.PitId,
            pair.Window.ApplicatorId,
            JsonNamingPolicy.CamelCase.ConvertName(pair.Passed.Lag.ToString()),
            pair.Laboratory,
            pair.Sensor,
            pair.Passed.VolumeMillilitres / MillilitresPerCubicMetre,
            pair.Passed.MillilitresWithout / MillilitresPerCubicMetre
        );

    private static IEnumerable<string> Warnings(Register register, string sensorId, Analyte analyte, SensorCheck check)
    {
        var (count, unlike) = (check.Pairs.Count, check.OutsideRange().ToArray());
        if (count == 0)
            yield return "There is no pair: enter laboratory reports whose samples were taken while the sensor measured.";
        else if (count == 1)
            yield return "One pair cannot tell chance from a fault of the sensor; the bias stands untested. Send more samples to the laboratory.";
        else if (check.Comparison is null)
            yield return $"{count} pairs that do not differ cannot tell chance from a fault of the sensor; the bias stands untested. Send more samples to the laboratory.";
        else if (count < SensorCheck.SlopeLeast)
            yield return $"{count} pairs give a bias only; a slope needs at least {SensorCheck.SlopeLeast}.";
        else if (count < SensorCheck.FewBelow)
            yield return $"{count} pairs are few; {SensorCheck.FewBelow} or more would show smaller faults.";
        if (check is { Comparison: not null, Proposed: null })
            yield return "The differences can be chance: no calibration is proposed.";
        if (unlike.Length > 0)
            yield return $"The laboratory's value lies outside all that the sensor read in these samples: {string.Join(", ", unlike.Select(pair => pair.Window.Result.ReportId))}.";
        if (Reports(check, HoseLag.Shifted) is { Length: > 0 } shifted)
            yield return $"Taken at the applicator, read at the pump ({shifted}): shifted by what the hose holds, as if the liquid moved as one column. It mixes on its way, so this is an idealisation; sample long after a change, or beside the sensor.";
        if (Reports(check, HoseLag.NotKnown) is { Length: > 0 } unknown)
            yield return $"Taken at the applicator, read at the pump ({unknown}): how much later the liquid came out is not known and the readings are not shifted. Give the sensor's hoseVolumeCubicMetres in the farm file, or sample beside the sensor.";
        else if (
            register.Sensors.Any(mounted =>
                mounted is { Place: SensorPlace.AtPump, HoseMillilitres: null } && mounted.SensorId == sensorId
            )
        )
            yield return "The sensor is or was at the pump and what the hose holds is not known: sample beside the sensor, or give hoseVolumeCubicMetres in the farm file.";
        if (register.Calibrations.Adopted.Any(adopted => adopted.SensorId == sensorId && adopted.Analyte == analyte))
            yield return "A calibration of this sensor and analyte is adopted. The pairs are of readings before it: what is proposed takes its place and does not come on top.";
    }

    private static string Reports(SensorCheck check, HoseLag lag) =>
        string.Join(
            ", ",
            check.Pairs.Where(pair => pair.Passed.Lag == lag).Select(pair => pair.Window.Result.ReportId)
        );

    private static string Unit(Analyte analyte) =>
        analyte == Analyte.DryMatter ? "parts per million of fresh mass" : "mg/L";
}
