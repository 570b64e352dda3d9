using System.Buffers.Binary;
using System.Collections.Concurrent;
using System.Runtime.CompilerServices;
using System.Text;
using System.Threading.Channels;
using Npgsql;
using NutrientLedger.Journal.StoredEvents;
using NutrientLedger.Ledger.Configuration;
using NutrientLedger.Ledger.Posting;
using NutrientLedger.Persistence.Events;
using NutrientLedger.Persistence.Scheduling;

namespace NutrientLedger.Persistence.Rebuild;

/// <summary>A stored batch in a <see cref="PackChunk"/>, not yet decoded.</summary>
internal readonly record struct CopiedPack(long Position, DateTimeOffset RecordedAt, string StoredName, Range Bytes);

/// <summary>
/// Some stored batches in the order of the journal. Once returned, its memory is used for later ones.
/// </summary>
internal sealed class PackChunk(int bytes, ConcurrentBag<PackChunk> unused) : IDisposable
{
    private readonly List<CopiedPack> packs = [];

    public IReadOnlyList<CopiedPack> Packs => packs;

    public byte[] Buffer { get; } = new byte[bytes];

    public ReadOnlySpan<byte> Bytes(in CopiedPack pack) => Buffer.AsSpan(pack.Bytes);

    public void Add(CopiedPack pack) => packs.Add(pack);

    public void Dispose()
    {
        packs.Clear();
        unused.Add(this);
    }
}

/// <summary>
/// Reads a farm's batches in bulk, by PostgreSQL's COPY in its binary form. It is parsed here, because that saves the
/// cost of a row. The next chunk is fetched while one is processed. Chunks are large objects, and new ones would make
/// the garbage collector stop everything.
/// </summary>
internal sealed class CopiedPacks(NpgsqlDataSource source, int chunkBytes)
{
    private static readonly (string Name, byte[] Utf8)[] Names =
    [
        .. JournalReader.BatchNames.Select(name => (name, Encoding.UTF8.GetBytes(name))),
    ];

    private readonly ConcurrentBag<PackChunk> unused = [];

    /// <summary>
    /// Returns the chosen batches in the order of the journal. Each chunk must be returned when its batches are posted.
    /// </summary>
    public async IAsyncEnumerable<PackChunk> ReadAsync(
        BatchFilter choice,
        [EnumeratorCancellation] CancellationToken cancellationToken
    )
    {
        var chunks = Channel.CreateBounded<PackChunk>(1);
        using var stop = CancellationTokenSource.CreateLinkedTokenSource(cancellationToken);
        var reading = FillAsync(CopySql(choice), chunks.Writer, stop.Token);
        try
        {
            await foreach (var chunk in chunks.Reader.ReadAllAsync(cancellationToken))
                yield return chunk;
        }
        finally
        {
            await stop.CancelAsync();
            await reading;
        }
    }

    /// <summary>Posts the chosen batches into an accumulator, one after another.</summary>
    public async Task PostAsync(
        BatchFilter choice,
        LedgerAccumulator accumulator,
        FarmConfiguration configuration,
        RightOfWay? way,
        CancellationToken cancellationToken
    )
    {
        await foreach (var read in ReadAsync(choice, cancellationToken))
        {
            using var chunk = read;
            if (way is not null)
                await way.GiveAsync(cancellationToken);
            foreach (var pack in chunk.Packs)
                accumulator.Post(EventCodec.Decode(pack.StoredName, chunk.Bytes(pack)), pack.RecordedAt, configuration);
        }
    }

    private static string CopySql(BatchFilter choice) =>
        $"""
            copy (select position, recorded_at, type, batch from journal.event
                where {choice.Condition} and type in ({string.Join(", ", Names.Select(name => $"'{name.Name}'"))})
                order by position) to stdout (format binary)
            """;

    private async Task FillAsync(string command, ChannelWriter<PackChunk> chunks, CancellationToken cancellationToken)
    {
        try
        {
            await using var connection = await source.OpenConnectionAsync(cancellationToken);
            await using var stream = await connection.BeginRawBinaryCopyAsync(command, cancellationToken);
            // Rows of other farms may lie long before the next one of this. The caller cancels the wait.
            stream.ReadTimeout = Timeout.Infinite;
            var ended = false;
            try
            {
                await FillAsync(stream, chunks, cancellationToken);
                ended = true;
            }
            finally
            {
                // Else all that is left would be read before the connection is returned.
                if (!ended)
                    await stream.CancelAsync();
            }
            chunks.Complete();
        }
        catch (Exception e)
        {
            chunks.Complete(e);
        }
    }

    private async Task FillAsync(Stream from, ChannelWriter<PackChunk> chunks, CancellationToken cancellationToken)
    {
        var (chunk, filled, begun, ended) = (Unused(), 0, false, false);
        while (!ended)
        {
            filled += await from.ReadAtLeastAsync(
                chunk.Buffer.AsMemory(filled),
                chunk.Buffer.Length - filled,
                throwOnEndOfStream: false,
                cancellationToken
            );
            var rows = new CopyRows(chunk.Buffer.AsSpan(0, filled));
            var taken = rows.Take(!begun, chunk);
            (begun, ended) = (true, rows.Ended);
            if (!ended && (filled < chunk.Buffer.Length || chunk.Packs.Count == 0))
                throw new FormatException("The journal's rows end before what they announce.");
            // An incomplete row begins the next chunk. Once handed over, this one is not read here any more.
            var next = Unused();
            chunk.Buffer.AsSpan(taken, filled - taken).CopyTo(next.Buffer);
            if (chunk.Packs.Count > 0)
                await chunks.WriteAsync(chunk, cancellationToken);
            else
                chunk.Dispose();
            (chunk, filled) = (next, filled - taken);
        }
        chunk.Dispose();
    }

    private PackChunk Unused() => unused.TryTake(out var chunk) ? chunk : new(chunkBytes, unused);

    /// <summary>
    /// Parses rows of COPY's binary form. Each is a count of columns, each column its length and bytes, big-endian.
    /// </summary>
    private ref struct CopyRows(ReadOnlySpan<byte> bytes)
    {
        // A signature of eleven bytes, flags and the length of an extension, which is empty.
        private const int HeaderBytes = 19;
        private const int Columns = 4;
        private static readonly DateTimeOffset Epoch = new(2000, 1, 1, 0, 0, 0, TimeSpan.Zero);

        private readonly ReadOnlySpan<byte> bytes = bytes;
        private int at;

        /// <summary>Whether the end was reached, marked by a count of −1.</summary>
        public readonly bool Ended => Has(2) && BinaryPrimitives.ReadInt16BigEndian(bytes[at..]) == -1;

        /// <summary>Takes all complete rows. Returns how many bytes they are.</summary>
        public int Take(bool withHeader, PackChunk packs)
        {
            var taken = at = withHeader ? HeaderBytes : 0;
            while (Has(2) && BinaryPrimitives.ReadInt16BigEndian(bytes[at..]) == Columns)
            {
                at += 2;
                if (
                    !Column(out var position)
                    || !Column(out var recordedAt)
                    || !Column(out var name)
                    || !Column(out var stored)
                )
                    break;
                packs.Add(
                    new(
                        BinaryPrimitives.ReadInt64BigEndian(bytes[position]),
                        Epoch.AddMicroseconds(BinaryPrimitives.ReadInt64BigEndian(bytes[recordedAt])),
                        NameOf(bytes[name]),
                        stored
                    )
                );
                taken = at;
            }
            at = taken;
            return taken;
        }

        private bool Column(out Range range)
        {
            range = default;
            if (!Has(4))
                return false;
            var length = BinaryPrimitives.ReadInt32BigEndian(bytes[at..]);
            at += 4;
            if (length < 0)
                throw new FormatException("The journal holds a batch without bytes.");
            if (!Has(length))
                return false;
            range = at..(at + length);
            at += length;
            return true;
        }

        private readonly bool Has(int count) => bytes.Length - at >= count;

        private static string NameOf(ReadOnlySpan<byte> utf8)
        {
            foreach (var (name, known) in Names)
                if (utf8.SequenceEqual(known))
                    return name;
            throw new FormatException(
                $"The journal returned an unexpected event type '{Encoding.UTF8.GetString(utf8)}'."
            );
        }
    }
}
