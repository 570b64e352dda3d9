using NutrientLedger.Journal;
using NutrientLedger.Ledger;

namespace NutrientLedger.Store;

/// <summary>One entry of a farm's register as the journal holds it.</summary>
public sealed record RecordedEntry(long Position, long Place, DateTimeOffset RecordedAt, IEntry Entry);

/// <summary>A farm's register at a journal position; place is the number of entries in it.</summary>
public sealed record RegisterAt(string FarmId, Register Register, long Place, IReadOnlyList<RecordedEntry> Entries);

/// <summary>Another writer recorded something in the farm's register meanwhile; read it again and decide anew.</summary>
public sealed class RegisterChangedException(string message) : Exception(message);

/// <summary>Reads and extends the registers of farms.</summary>
public sealed class RegisterStore
{
    /// <summary>The ids of all registered farms, in order.</summary>
    public Task<IReadOnlyList<string>> FarmsAsync(CancellationToken cancellationToken) =>
        throw new NotImplementedException();

    /// <summary>A farm's register, now or as of a journal position; empty with place 0 for an unknown farm.</summary>
    public Task<RegisterAt> ReadAsync(string farmId, long? asOf, CancellationToken cancellationToken) =>
        throw new NotImplementedException();

    /// <summary>Appends entries after <paramref name="place"/>; throws <see cref="RegisterChangedException"/> if it moved on.</summary>
    public Task RecordAsync(
        string farmId,
        long place,
        IReadOnlyList<IEntry> entries,
        CancellationToken cancellationToken
    ) => throw new NotImplementedException();
}
