using NutrientLedger.Agronomy.Written;
using NutrientLedger.Journal.Sampling;
using NutrientLedger.Ledger;
using NutrientLedger.Office.Answers;
using NutrientLedger.Store;

namespace NutrientLedger.Office.Asking;

/// <summary>The samples that laboratory and sensor both know, those that have no counterpart, and what follows from the pairs.</summary>
internal sealed record Pairing(SensorCheck Check, IReadOnlyList<UnpairedAnswer> Unpaired)
{
    /// <summary>What leaves a pit within a day of sampling it is taken to be what was sampled (common practice, no source).</summary>
    public const int PitHoursUsual = 24;

    /// <summary>Pairs all reports of a register that count with what the journal holds of the sensor.</summary>
    public static async Task<Pairing> ReadAsync(
        SampleReader samples,
        string farmId,
        Register register,
        string sensorId,
        Analyte analyte,
        int pitHours,
        CancellationToken cancellationToken
    )
    {
        var windows = SampledWindow.All(register, sensorId, pitHours);
        var passed = new PassedSensor(register, sensorId, analyte, windows);
        await samples.AddAsync(farmId, register, sensorId, windows, passed, cancellationToken);
        var pairs = new List<SamplePair>();
        var unpaired = new List<UnpairedAnswer>();
        foreach (var (window, sum) in windows.Zip(passed.Passed))
        {
            var found = LabContent.Of(window.Result).FirstOrDefault(content => content.Analyte == analyte);
            if (found?.InSensorUnit is not { } laboratory)
                unpaired.Add(new(window.Result.ReportId, "The laboratory did not report this analyte."));
            else if (sum.Mean is { } mean)
                pairs.Add(new(window, laboratory, mean, sum));
            else
                unpaired.Add(
                    new(
                        window.Result.ReportId,
                        sum.VolumeMillilitres == 0
                            ? "Nothing was metered past the sensor in the sample's window."
                            : "The sensor told no content in the sample's window."
                    )
                );
        }
        return new(SensorCheck.Of(pairs), unpaired);
    }

    /// <summary>The calibration that the pairs suggest, as a person would ask for it.</summary>
    public ProposalAnswer? Proposal(Register register, string sensorId, Analyte analyte)
    {
        const int slopeDigits = 6;
        const int interceptDigits = 3;
        if (Check.Proposed is not { } proposed)
            return null;
        string[] reports = [.. Check.Pairs.Select(pair => pair.Window.Result.ReportId)];
        var calendar = register.Calendar!;
        var first = Check.Pairs.Min(pair => pair.Window.FromMilliseconds);
        var intercept = Math.Round((decimal)proposed.Intercept, interceptDigits);
        var words =
            $"{(Check.ProposesSlope ? "Slope and intercept" : "Bias")} of {Counted.Of(reports.Length, "sample")} against the laboratory ({string.Join(", ", reports)}).";
        var isDryMatter = analyte == Analyte.DryMatter;
        var question = new CalibrationQuestion(
            $"{sensorId}-{CalibrationBook.Word(analyte)}-{reports[^1]}",
            sensorId,
            CalibrationBook.Word(analyte),
            Math.Round((decimal)proposed.Slope, slopeDigits),
            isDryMatter ? null : intercept,
            isDryMatter ? intercept : null,
            calendar.OnTheClock(calendar.HourStartSeconds(first) * 1000),
            ValidTo: null,
            Pit: null,
            reports,
            AdoptedBy: null,
            words
        );
        return new(question, proposed.SlopeStandardError, proposed.InterceptStandardError, words);
    }
}
