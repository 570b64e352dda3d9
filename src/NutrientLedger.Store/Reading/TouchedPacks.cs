using System.Runtime.CompilerServices;
using NutrientLedger.Journal;
using NutrientLedger.Journal.Spreading;
using NutrientLedger.Journal.Storage;
using NutrientLedger.Ledger;

namespace NutrientLedger.Store;

/// <summary>The packs up to a position of those senders alone whose readings a correction touches.</summary>
internal static class TouchedPacks
{
    public static async IAsyncEnumerable<JournalRow> ReadAsync(
        JournalRows journal,
        string farmId,
        Touched touched,
        long upTo,
        [EnumeratorCancellation] CancellationToken cancellationToken
    )
    {
        if (touched.Applicators.Count > 0)
            await foreach (var row in Of<SpreadingMeasured>(TelemetryStream.Spread, [.. touched.Applicators]))
                yield return row;
        if (touched.Levels)
            await foreach (var row in Of<StorageLevelMeasured>(TelemetryStream.Store, []))
                yield return row;

        IAsyncEnumerable<JournalRow> Of<TEntry>(TelemetryStream stream, string[] senders)
            where TEntry : IEntry =>
            journal.StreamAsync<TEntry>(farmId, stream, senders, DateTimeOffset.UnixEpoch, upTo, cancellationToken);
    }
}
