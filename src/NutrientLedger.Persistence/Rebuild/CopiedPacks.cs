using System.Buffers.Binary;
using System.Collections.Concurrent;
using System.Runtime.CompilerServices;
using System.Text;
using System.Threading.Channels;
using Npgsql;
using NutrientLedger.Persistence.Database;
using NutrientLedger.Persistence.Events;

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
        PostingOrder order,
        [EnumeratorCancellation] CancellationToken cancellationToken
    )
    {
        var chunks = Channel.CreateBounded<PackChunk>(1);
        using var stop = CancellationTokenSource.CreateLinkedTokenSource(cancellationToken);
        var reading = FillAsync(CopySql(order), chunks.Writer, stop.Token);
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

    /// <summary>
    /// Positions come from the index in order, and each event by its position. Limited to one, an event is never looked
    /// for in another way.
    /// </summary>
    private static string CopySql(PostingOrder order) =>
        $"""
            copy (select event.position, recorded_at, type, batch
                from (select position from ({new BatchChoice(order).PositionsSql()}) as found order by position)
                    as chosen
                cross join lateral (select position, recorded_at, type, batch from journal.event
                    where position = chosen.position and batch is not null limit 1) as event
                order by chosen.position) to stdout (format binary)
            """;

    private async Task FillAsync(string command, ChannelWriter<PackChunk> chunks, CancellationToken cancellationToken)
    {
        try
        {
            await using var connection = await source.OpenConnectionAsync(cancellationToken);
            await using var transaction = await connection.BeginTransactionAsync(cancellationToken);
            // Compiling the query takes PostgreSQL longer than running it.
            await connection.ExecuteAsync("set local jit to off", cancellationToken);
            await using var stream = await connection.BeginRawBinaryCopyAsync(command, cancellationToken);
            // All positions are found before the first row comes. The caller cancels the wait.
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
