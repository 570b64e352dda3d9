using System.Collections.Immutable;
using NutrientLedger.Journal.Storage;
using NutrientLedger.Json;

namespace NutrientLedger.Web.Import.Farms;

/// <summary>
/// Reads the farm's own measurement errors, for one pit or for all. The ranges catch typing errors (common practice, no
/// source).
/// </summary>
internal sealed class DeviationsSection(IReadOnlySet<string> pits)
{
    private const int MillionthsOfOne = 1_000_000;

    private static readonly ImmutableArray<Deviating> Known =
    [
        new("levelSensor", PitMeasurement.LevelSensor, "millimetres", 500),
        new("tape", PitMeasurement.Tape, "millimetres", 500),
        new("pitShape", PitMeasurement.PitShape, "share", 0.5m),
        new("flowMeter", PitMeasurement.FlowMeter, "share", 0.5m),
        new("setRate", PitMeasurement.SetRate, "share", 0.5m),
        new("handLoads", PitMeasurement.HandLoads, "share", 0.5m),
        new("transfer", PitMeasurement.Transfer, "share", 0.5m),
        new("dailyInflow", PitMeasurement.DailyInflow, "share", 1),
        new("measuredInflow", PitMeasurement.MeasuredInflow, "share", 0.5m),
        new("rain", PitMeasurement.Rain, "share", 1),
        new("evaporation", PitMeasurement.Evaporation, "share", 1),
        new("evaporationUnmeasured", PitMeasurement.EvaporationUnmeasured, "millimetresADay", 20),
    ];

    private readonly HashSet<(string, DateOnly)> keys = [];

    /// <summary>A measurement as the file names it, the property of its deviation, and the max value.</summary>
    private sealed record Deviating(string Word, PitMeasurement Of, string Property, decimal Max);

    public DefaultDeviationsSet Read(JsonObjectReader deviations)
    {
        var pit = deviations.Optional("pit") is null ? null : deviations.KnownId("pit", "pit", pits);
        var from = deviations.Day("from");
        var given = new SortedDictionary<PitMeasurement, OwnDeviation>();
        foreach (var one in deviations.List("given", "deviations, given"))
            if (Given(one) is { } own && !given.TryAdd(own.Of, own))
                one.AddProblem("of", "this measurement has two deviations; keep one.");
        deviations.RejectUnknownMembers();
        if (given.Count == 0 && !deviations.HasProblem)
            deviations.AddProblem("given", "write a list \"given\" with at least one deviation.");
        if (!keys.Add((pit ?? "", from)))
            deviations.AddProblem("from", "there are two sets of deviations for the same pits from the same day.");
        return new(pit, from, [.. given.Values]);
    }

    private static OwnDeviation? Given(JsonObjectReader one)
    {
        var word = one.Choice("of", [.. Known.Select((deviating, place) => (deviating.Word, place + 1))]);
        if (word == 0)
            return null;
        var known = Known[word - 1];
        var size = one.Millionths(known.Property, 1m / MillionthsOfOne, known.Max);
        var from = one.Text("knownFrom");
        one.RejectUnknownMembers();
        return one.HasProblem ? null : new(known.Of, size, from);
    }
}
