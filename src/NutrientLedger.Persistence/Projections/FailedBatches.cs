using Npgsql;
using NutrientLedger.Journal;
using NutrientLedger.Ledger.Configuration;
using NutrientLedger.Ledger.Posting;
using NutrientLedger.Persistence.Database;
using NutrientLedger.Persistence.Events;

namespace NutrientLedger.Persistence.Projections;

/// <summary>
/// Gathers batches that could not be read or posted. One batch must not keep the others of its farm, or other farms,
/// from being posted. Threads may add to it together.
/// </summary>
internal sealed class FailedBatches
{
    private readonly Dictionary<long, string> reasons = [];

    /// <summary>Posts a batch, or notes why that failed.</summary>
    public void Try(long position, Action post)
    {
        try
        {
            post();
        }
        catch (Exception e) when (e is not OutOfMemoryException)
        {
            lock (reasons)
                reasons[position] = e.Message;
        }
    }

    /// <summary>
    /// The batches, with the numbers of their readings by the index beside the events. Those whose readings all stay
    /// out by a person's decision are left out: nothing of them is missing.
    /// </summary>
    public async Task<IReadOnlyList<UnpostedBatch>> UnpostedAsync(
        NpgsqlDataSource source,
        string farmId,
        FarmConfiguration configuration,
        CancellationToken cancellationToken
    )
    {
        if (reasons.Count == 0)
            return [];
        var spans = await source
            .Command(
                $"""
                select position, {BatchSpanRows.Columns} from {BatchSpanRows.Table}
                where farm = $1 and position = any($2)
                """,
                farmId,
                reasons.Keys.ToArray()
            )
            .ListAsync(row => (Position: row.GetInt64(0), Span: BatchSpanRows.Read(row, 1)), cancellationToken);
        var known = spans.ToDictionary(span => span.Position, span => span.Span);
        return
        [
            .. from failed in reasons
            orderby failed.Key
            let span = known.GetValueOrDefault(failed.Key)
            where span is null || !AllStayOut(configuration, span)
            select new UnpostedBatch(
                failed.Key,
                span?.EquipmentId ?? "",
                span?.Boot ?? 0,
                span?.FirstSeq ?? 0,
                span?.LastSeq ?? 0,
                failed.Value
            ),
        ];
    }

    private static bool AllStayOut(FarmConfiguration configuration, BatchSpan span)
    {
        var stream = Enum.Parse<TelemetryStream>(span.Stream, ignoreCase: true);
        var decided = configuration.Decided(span.EquipmentId, stream, span.Boot);
        for (var seq = span.FirstSeq; seq <= span.LastSeq; seq++)
            if (!decided[seq].StaysOut)
                return false;
        return true;
    }
}
