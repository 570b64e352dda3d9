using NutrientLedger.Journal.Sampling;
using NutrientLedger.Ledger.Configuration;
using NutrientLedger.Ledger.Sampling;
using NutrientLedger.Ledger.Wording;
using NutrientLedger.Persistence.Queries;
using NutrientLedger.Web.Contracts.Sampling;

namespace NutrientLedger.Web.Queries.Sampling;

/// <summary>The samples that laboratory and sensor both know, those that have no counterpart, and what follows from the pairs.</summary>
internal sealed record Pairing(SensorCheck Check, IReadOnlyList<UnpairedResponse> Unpaired)
{
    /// <summary>What leaves a pit within a day of sampling it is taken to be what was sampled (common practice, no source).</summary>
    public const int PitHoursDefault = 24;

    /// <summary>Pairs all reports of a register that count with what the journal holds of the sensor.</summary>
    public static async Task<Pairing> ReadAsync(
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
        var pairs = new List<SamplePair>();
        var unpaired = new List<UnpairedResponse>();
        foreach (var (window, sum) in windows.Zip(passed.Passed))
        {
            var found = LabContent.Of(window.Result).FirstOrDefault(content => content.Analyte == analyte);
            if (found?.InSensorUnit is not { } laboratory)
                unpaired.Add(new(window.Result.ReportId, "The report has no value for this analyte."));
            else if (sum.Mean is { } mean)
                pairs.Add(new(window, laboratory, mean, sum));
            else
                unpaired.Add(
                    new(
                        window.Result.ReportId,
                        sum.VolumeMillilitres == 0
                            ? "No flow passed the sensor while the sample was taken."
                            : "The sensor sent no content while the sample was taken."
                    )
                );
        }
        return new(SensorCheck.Of(pairs), unpaired);
    }

    /// <summary>The calibration that the pairs suggest, as a person would ask for it.</summary>
    public ProposalResponse? Proposal(FarmConfiguration configuration, string sensorId, Analyte analyte)
    {
        const int slopeDigits = 6;
        const int interceptDigits = 3;
        if (Check.Proposed is not { } proposed)
            return null;
        string[] reports = [.. Check.Pairs.Select(pair => pair.Window.Result.ReportId)];
        var calendar = configuration.Calendar!;
        var first = Check.Pairs.Min(pair => pair.Window.FromMilliseconds);
        var intercept = Math.Round((decimal)proposed.Intercept, interceptDigits);
        var words =
            $"{(Check.ProposesSlope ? "Slope and intercept" : "Bias")} of {Plural.Of(reports.Length, "sample")} against the laboratory ({string.Join(", ", reports)}).";
        var isDryMatter = analyte == Analyte.DryMatter;
        var request = new CalibrationRequest(
            $"{sensorId}-{CalibrationMapping.Word(analyte)}-{reports[^1]}",
            sensorId,
            CalibrationMapping.Word(analyte),
            Math.Round((decimal)proposed.Slope, slopeDigits),
            isDryMatter ? null : intercept,
            isDryMatter ? intercept : null,
            calendar.ToFarmTime(calendar.HourStartSeconds(first) * 1000),
            ValidTo: null,
            Pit: null,
            reports,
            By: null,
            words
        );
        return new(request, proposed.SlopeStandardError, proposed.InterceptStandardError, words);
    }
}
