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

    /// <summary>The query for their positions. Nothing in the set gives no rows.</summary>
    public string PositionsSql() =>
        string.Join(
            " union ",
            Conditions()
                .DefaultIfEmpty("false")
                .Select(condition =>
                    FormattableString.Invariant(
                        $"""
                        select position from {BatchSpanRows.Table}
                        where farm = {Literal(
                            order.FarmId
                        )} and position > {order.After} and position <= {order.UpTo} and {condition}
                        """
                    )
                )
        );

    private IEnumerable<string> Conditions()
    {
        if (configuration.Calendar is null)
            yield break;
        foreach (var seasons in order.Only.Seasons)
        foreach (var id in configuration.Applicators.Select(applicator => applicator.ApplicatorId))
            if (seasons.ApplicatorId is null || seasons.ApplicatorId == id)
                foreach (var sent in Sent(id, seasons))
                    yield return FormattableString.Invariant(
                        $"{InStream(TelemetryStream.Spread)} and equipment = {Literal(id)} and measured_to >= {sent.FromMilliseconds} and measured_from < {sent.UntilMilliseconds}"
                    );
        if (order.Only.Levels)
            yield return InStream(TelemetryStream.Store);
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

    private static string InStream(TelemetryStream stream) => $"stream = {Literal(BatchSpanRows.Name(stream))}";

    private static string Literal(string text) => $"'{text.Replace("'", "''", StringComparison.Ordinal)}'";
}
