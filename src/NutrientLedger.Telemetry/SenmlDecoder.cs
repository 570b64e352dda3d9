using System.Collections.Immutable;
using System.Text.Json;
using NutrientLedger.Journal;
using NutrientLedger.Telemetry.Channels;
using NutrientLedger.Telemetry.Senml;

namespace NutrientLedger.Telemetry;

/// <summary>
/// Gathers the records of one SenML message into readings. Records of the same millisecond make one reading. Readings
/// are numbered in the order in which their times first appear, so a clock that is set back does not disturb the
/// numbers. Records with unknown names are counted and left out. Their times still count, because the device numbered
/// them too. A value far below zero is counted and left out, as if the machine did not measure it.
/// </summary>
internal sealed class SenmlDecoder<TReading>(ImmutableArray<Channel> channels)
    where TReading : struct, IReading<TReading>
{
    // RFC 8428 section 4.5.3: smaller times are relative to the moment of sending, which is not known here.
    private const double FirstAbsoluteTime = 1 << 28;

    private readonly MessageNumbers numbers = new();
    private readonly List<long?[]> rows = [];
    private readonly Dictionary<long, int> rowByTime = [];
    private int unknownRecords;
    private int valuesLeftOut;

    /// <summary>Decodes the message.</summary>
    public DecodeResult Decode(
        ReadOnlySpan<byte> payload,
        WireTopic where,
        Func<ReadingBatch<TReading>, IJournalEvent> toEvent
    )
    {
        try
        {
            var records = new SenmlReader(payload);
            while (records.Next())
                if (Take(in records.Record, records.Number) is { } rejection)
                    return new DecodeResult.Rejected(rejection);
            if ((records.Rejection ?? numbers.Missing(rows.Count)) is { } reason)
                return new DecodeResult.Rejected(reason);
            var readings = rows.Select(row => TReading.FromColumns(row)).ToImmutableArray();
            var batch = new ReadingBatch<TReading>(where.EquipmentId, numbers.Boot, numbers.Seq, readings);
            return new DecodeResult.Decoded(where.FarmId, toEvent(batch), numbers.PreviousBoot)
            {
                UnknownRecords = unknownRecords,
                ValuesLeftOut = valuesLeftOut,
            };
        }
        catch (JsonException broken)
        {
            return new DecodeResult.Rejected(
                $"The message is not valid JSON: {RejectionReason.Quoted(broken.Message)}"
            );
        }
        catch (InvalidOperationException)
        {
            // The JSON reader throws this for an escape that is half of a character.
            return new DecodeResult.Rejected("The message has a string with a broken escape; send valid JSON.");
        }
    }

    private string? Take(ref readonly SenmlRecord record, int recordNumber)
    {
        if (MessageNumbers.Knows(record.Name))
            return numbers.Take(in record, recordNumber);
        if (Row(record.Time, recordNumber, out var index) is { } rejection)
            return rejection;
        for (var i = 0; i < channels.Length; i++)
            if (channels[i].HasName(record.Name))
                return Put(channels[i], in record, index, column: i + 1);
        unknownRecords++;
        return null;
    }

    private string? Row(double seconds, int recordNumber, out int index)
    {
        index = -1;
        if (seconds < FirstAbsoluteTime)
            return RejectionReason.Of(
                $"Record {recordNumber} has the time {seconds}, which is relative to the moment of sending; send seconds since 1970 (UTC) in bt and t."
            );
        if (!MessageTime.Allows(seconds))
            return RejectionReason.Of(
                $"Record {recordNumber} has the time {seconds}, which is outside the years 1990 to 2099; check the device's clock."
            );
        var time = MessageTime.Milliseconds(seconds);
        if (rowByTime.TryGetValue(time, out index))
            return null;
        if (rows.Count == ReadingBatch<TReading>.ReadingsMax)
            return $"The message has more than {ReadingBatch<TReading>.ReadingsMax} readings; send fewer per message.";
        index = rows.Count;
        rowByTime.Add(time, index);
        var row = new long?[TReading.ColumnCount];
        row[0] = time;
        rows.Add(row);
        return null;
    }

    private string? Put(Channel channel, ref readonly SenmlRecord record, int index, int column)
    {
        var row = rows[index];
        if (row[column] is not null)
            return $"Reading {index + 1}: {channel.Name} appears twice at the same time (to the millisecond); send it once.";
        if (channel.IsFlag)
        {
            if (record.Kind != SenmlValue.Flag)
                return $"Reading {index + 1}: {channel.Name} must be sent as vb true or false.";
            row[column] = record.Flag ? 1 : 0;
            return null;
        }
        if (record.Kind != SenmlValue.Number)
            return $"Reading {index + 1}: {channel.Name} must be sent as a number in v.";
        if (!channel.HasUnit(record.Unit))
            return $"Reading {index + 1}: {channel.Name} must have the unit {channel.Unit}.";
        if (!channel.Allows(record.Number))
            return RejectionReason.Of(
                $"Reading {index + 1}: {channel.Name} is {record.Number} {channel.Unit}, outside {channel.Min} to {channel.Max}; leave out values that the machine does not measure."
            );
        row[column] = channel.Scaled(record.Number);
        if (row[column] is null)
            valuesLeftOut++;
        return null;
    }
}
