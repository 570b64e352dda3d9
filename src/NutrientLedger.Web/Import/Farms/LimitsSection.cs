using System.Collections.Immutable;
using NutrientLedger.Agronomy.Sampling;
using NutrientLedger.Journal.Readings;
using NutrientLedger.Json;

namespace NutrientLedger.Web.Import.Farms;

/// <summary>
/// Reads the limits outside which readings are flagged: the defaults if the file asks for them, and given ones, which
/// replace defaults. Without an applicator they hold for the whole farm.
/// </summary>
internal sealed class LimitsSection(IReadOnlySet<string> applicators)
{
    private static readonly ImmutableArray<Limited> Known =
    [
        new("dryMatter", LimitedQuantity.DryMatter, "% of fresh mass", 10_000, 100),
        new("totalNitrogen", LimitedQuantity.TotalNitrogen, "g/L", 1000, 50),
        new("ammoniumNitrogen", LimitedQuantity.AmmoniumNitrogen, "g/L", 1000, 50),
        new("phosphorus", LimitedQuantity.Phosphorus, "g/L", 1000, 50),
        new("potassium", LimitedQuantity.Potassium, "g/L", 1000, 50),
        new("flowWhileEngaged", LimitedQuantity.FlowWhileEngaged, "L/s", 1000, 1000),
        new("flowWhileDisengaged", LimitedQuantity.FlowWhileDisengaged, "L/s", 1000, 1000),
        new("speed", LimitedQuantity.Speed, "m/s", 1000, 30),
        new("width", LimitedQuantity.Width, "m", 1000, 60),
    ];

    private readonly HashSet<(string, DateTimeOffset)> keys = [];

    /// <summary>
    /// A quantity in the file: the unit, how many units of the reading make one, and the max value of a sensor.
    /// </summary>
    private sealed record Limited(string Word, LimitedQuantity Quantity, string Unit, int Scale, decimal Max);

    public ReadingLimitsSet Read(JsonObjectReader limits)
    {
        var applicator = limits.Optional("applicator") is null
            ? null
            : limits.KnownId("applicator", "applicator", applicators);
        var from = limits.Moment("from");
        var wanted = new SortedDictionary<LimitedQuantity, ReadingLimit>();
        if (limits.Optional("defaults") is not null && limits.Choice("defaults", ("liquidManure", true)))
            foreach (var limit in DefaultLimit.All)
                if (Known.Single(one => one.Word == limit.Of) is var known)
                    wanted[known.Quantity] = new(
                        known.Quantity,
                        JsonNumbers.Whole(limit.Min, known.Scale),
                        JsonNumbers.Whole(limit.Max, known.Scale),
                        limit.Mark
                    );
        var given = new HashSet<LimitedQuantity>();
        foreach (var one in limits.List("given", $"{limits.Label}, given"))
            if (Given(one) is { } limit)
                if (given.Add(limit.Quantity))
                    wanted[limit.Quantity] = limit;
                else
                    one.AddProblem("of", "this quantity has two limits; keep one.");
        limits.RejectUnknownMembers();
        if (wanted.Count == 0 && !limits.HasProblem)
            limits.AddProblem(
                "given",
                "write \"defaults\": \"liquidManure\", or a list \"given\" with at least one limit."
            );
        if (!keys.Add((applicator ?? "", from)))
            limits.AddProblem("from", "there are two sets of limits for the same readings from the same moment.");
        return new(applicator, from, [.. wanted.Values]);
    }

    private static ReadingLimit? Given(JsonObjectReader one)
    {
        var word = one.Choice("of", [.. Known.Select((limited, place) => (limited.Word, place + 1))]);
        if (word == 0)
            return null;
        var known = Known[word - 1];
        var min = one.OptionalScaled("min", known.Scale, 0, known.Max, known.Unit);
        var max = one.OptionalScaled("max", known.Scale, 0, known.Max, known.Unit);
        var mark = one.Text("mark");
        one.RejectUnknownMembers();
        if (one.HasProblem)
            return null;
        if (min is null && max is null)
            one.AddProblem("", "give \"min\", \"max\" or both.");
        if (min > max)
            one.AddProblem("min", "\"min\" is more than \"max\".");
        return new(known.Quantity, min, max, mark);
    }
}
