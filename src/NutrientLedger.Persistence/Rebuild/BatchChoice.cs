using NutrientLedger.Journal;
using NutrientLedger.Ledger.Configuration;
using NutrientLedger.Ledger.Posting;
using NutrientLedger.Persistence.Events;

namespace NutrientLedger.Persistence.Rebuild;

/// <summary>
/// The batches that can add to the partitions of an order. They are found in the index beside the events by sender and
/// measured time. Which season a time belongs to is the configuration's matter.
/// </summary>
/// <remarks>COPY takes no parameters, so the values are literals.</remarks>
internal sealed class BatchChoice(PostingOrder order)
{
    private readonly FarmConfiguration configuration = order.Configuration;

    /// <summary>The query for their positions, each once and in no order.</summary>
    public string PositionsSql()
    {
        var sent = Spread();
        var own =
            $"span.farm = {Literal(order.FarmId)} and position > {Text(order.After)} and position <= {Text(order.UpTo)}";
        var spread = $"""
            select distinct span.position
            from unnest({Array(sent.Select(times => Literal(times.EquipmentId)), "text")},
                {Array(sent.Select(times => Text(times.FromMilliseconds)), "bigint")},
                {Array(
                sent.Select(times => Text(times.UntilMilliseconds)),
                "bigint"
            )}) as sent (equipment, since, before)
            join {BatchSpanRows.Table} as span on {InStream(TelemetryStream.Spread)}
                and span.equipment = sent.equipment and measured_to >= since and measured_from < before
            where {own}
            """;
        return order.Only.Levels
            ? $"{spread} union all select position from {BatchSpanRows.Table} as span where {InStream(TelemetryStream.Store)} and {own}"
            : spread;
    }

    /// <summary>
    /// When each applicator sent what counts in the seasons. Times that meet are joined: a person may have shifted a
    /// clock many times.
    /// </summary>
    private List<SentTimes> Spread()
    {
        var joined = new List<SentTimes>();
        if (configuration.Calendar is null)
            return joined;
        foreach (var id in configuration.Applicators.Select(applicator => applicator.ApplicatorId))
        {
            SentTimes? last = null;
            var times = order
                .Only.Seasons.Where(seasons => seasons.ApplicatorId is null || seasons.ApplicatorId == id)
                .SelectMany(seasons => Sent(id, seasons));
            foreach (var next in times.OrderBy(sent => sent.FromMilliseconds))
                if (last is { } open && next.FromMilliseconds <= open.UntilMilliseconds)
                    last = open with { UntilMilliseconds = Math.Max(open.UntilMilliseconds, next.UntilMilliseconds) };
                else
                {
                    if (last is { } whole)
                        joined.Add(whole);
                    last = next;
                }
            if (last is { } rest)
                joined.Add(rest);
        }
        return joined;
    }

    /// <summary>The times of seasons as a device sent them. Years at the calendar's ends stand for no end.</summary>
    private IEnumerable<SentTimes> Sent(string equipmentId, SeasonsOf seasons)
    {
        var calendar = configuration.Calendar!;
        return SentTimes.Of(
            configuration,
            TelemetryStream.Spread,
            equipmentId,
            seasons.First > 1 ? calendar.StartOf(calendar.FirstDayOf(seasons.First)) : long.MinValue,
            seasons.Last < 9_998 ? calendar.EndOf(seasons.Last) : long.MaxValue
        );
    }

    private static string InStream(TelemetryStream stream) => $"span.stream = {Literal(BatchSpanRows.Name(stream))}";

    private static string Array(IEnumerable<string> values, string type) =>
        $"array[{string.Join(", ", values)}]::{type}[]";

    private static string Text(long number) => FormattableString.Invariant($"'{number}'");

    private static string Literal(string text) => $"'{text.Replace("'", "''", StringComparison.Ordinal)}'";
}
