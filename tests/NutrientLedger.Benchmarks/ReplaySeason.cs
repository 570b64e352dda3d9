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
        await hub.Registers.RecordAsync(farm, 0, BenchFarm.Entries(Fields), CancellationToken.None);
        var last = readings / Fields;
        var next = Enumerable.Repeat(1L, Fields).ToArray();
        var packs = 0;
        while (next.Any(seq => seq <= last))
        {
            for (var odd = 0; odd < 2; odd++)
            {
                var messages = new List<DecodedMessage>();
                for (var machine = 0; machine < Fields; machine++)
                for (var i = odd; i < MessagesAtOnce; i += 2)
                {
                    var size = readingsAMessage[machine % readingsAMessage.Length];
                    var first = next[machine] + (i * size);
                    if (first <= last)
                        messages.Add(Message(farm, machine, first, Math.Min(last, first + size - 1)));
                }
                await hub.Writer.AppendAsync(messages, [], CancellationToken.None);
                packs += messages.Count;
            }
            for (var machine = 0; machine < Fields; machine++)
                next[machine] += MessagesAtOnce * readingsAMessage[machine % readingsAMessage.Length];
        }
        await hub.SettleAsync();
        return packs;
    }

    private static DecodedMessage Message(string farm, int machine, long first, long last)
    {
        var readings = new SpreadReading[last - first + 1];
        for (var i = 0; i < readings.Length; i++)
            readings[i] = BenchFarm.Reading(machine, first + i);
        var pack = new ReadingBatch<SpreadReading>(BenchFarm.Machine(machine), 1, first, [.. readings]);
        return new(farm, new SpreadingMeasured(pack), $"agri/v1/{farm}/{BenchFarm.Machine(machine)}/spread", default);
    }
}
