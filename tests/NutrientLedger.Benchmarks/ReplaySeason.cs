using NutrientLedger.Journal;
using NutrientLedger.Journal.Spreading;
using NutrientLedger.Persistence.Messages;

namespace NutrientLedger.Benchmarks;

/// <summary>
/// A season of an invented farm with fifty fields, appended to the journal by the hub's own code. Every other message
/// comes first, then those between. So many stay separate batches in one commit, as when they arrive one at a time.
/// </summary>
internal static class ReplaySeason
{
    public const int Fields = 50;

    private const int MessagesAtOnce = 20;

    /// <summary>
    /// Registers the farm and appends; applicators use the message sizes in turn. Returns the number of batches
    /// appended.
    /// </summary>
    public static async Task<int> FillAsync(BenchHub hub, string farm, int readings, params int[] readingsAMessage)
    {
        await hub.Configurations.RecordAsync(farm, 0, BenchFarm.ConfigurationEvents(Fields), CancellationToken.None);
        var last = readings / Fields;
        var next = Enumerable.Repeat(1L, Fields).ToArray();
        var batches = 0;
        while (next.Any(seq => seq <= last))
        {
            for (var odd = 0; odd < 2; odd++)
            {
                var messages = new List<DecodedMessage>();
                for (var applicator = 0; applicator < Fields; applicator++)
                for (var i = odd; i < MessagesAtOnce; i += 2)
                {
                    var size = readingsAMessage[applicator % readingsAMessage.Length];
                    var first = next[applicator] + (i * size);
                    if (first <= last)
                        messages.Add(Message(farm, applicator, first, Math.Min(last, first + size - 1)));
                }
                await hub.Writer.AppendAsync(messages, [], CancellationToken.None);
                batches += messages.Count;
            }
            for (var applicator = 0; applicator < Fields; applicator++)
                next[applicator] += MessagesAtOnce * readingsAMessage[applicator % readingsAMessage.Length];
        }
        await hub.SettleAsync();
        return batches;
    }

    private static DecodedMessage Message(string farm, int applicator, long first, long last)
    {
        var readings = new SpreadReading[last - first + 1];
        for (var i = 0; i < readings.Length; i++)
            readings[i] = BenchFarm.Reading(applicator, first + i);
        var batch = new ReadingBatch<SpreadReading>(BenchFarm.Applicator(applicator), 1, first, [.. readings]);
        return new(
            farm,
            new SpreadingMeasured(batch),
            $"agri/v1/{farm}/{BenchFarm.Applicator(applicator)}/spread",
            default
        );
    }
}
