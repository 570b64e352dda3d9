using System.Text;
using NutrientLedger.Telemetry.Senml;

namespace NutrientLedger.Telemetry;

/// <summary>
/// The numbers that stand once in a message: <c>boot</c> and <c>seq</c> of its first reading. After a restart of the
/// device, <c>lastboot</c> and <c>lastseq</c> may follow. Their records need no time and make no reading.
/// </summary>
internal sealed class MessageNumbers
{
    /// <summary>The largest whole number up to which a SenML value (a double) can count without gaps.</summary>
    private const long NumberMax = 1L << 53;

    private static readonly string[] Names = ["boot", "seq", "lastboot", "lastseq"];

    private readonly long?[] values = new long?[Names.Length];

    public long Boot => values[0]!.Value;

    public long Seq => values[1]!.Value;

    /// <summary>
    /// The previous boot and its last number. Null unless both were sent and that boot is lower than this one.
    /// </summary>
    public (long Boot, long LastSeq)? PreviousBoot =>
        values is [_, _, { } boot, { } lastSeq] && boot < Boot ? (boot, lastSeq) : null;

    public static bool Knows(ReadOnlySpan<byte> name) => IndexOf(name) >= 0;

    /// <summary>Takes a record with one of these names. Returns what is wrong with it, or null.</summary>
    public string? Take(ref readonly SenmlRecord record, int recordNumber)
    {
        var index = IndexOf(record.Name);
        var name = Names[index];
        if (record.Kind != SenmlValue.Number)
            return $"Record {recordNumber}: {name} must be sent as a number in v.";
        if (!record.Unit.IsEmpty && !record.Unit.SequenceEqual("count"u8))
            return $"Record {recordNumber}: {name} must have the unit count or none; a base unit applies to it too.";
        // Readings are numbered from 1, boots from 0.
        var min = name == "seq" ? 1 : 0;
        if (record.Number < min || record.Number > NumberMax || record.Number != Math.Floor(record.Number))
            return RejectionReason.Of(
                $"Record {recordNumber}: {name} is {record.Number}; it must be a whole number from {min} to 2^53."
            );
        if (values[index] is not null)
            return $"Record {recordNumber}: {name} appears twice; send it once per message.";
        values[index] = (long)record.Number;
        return null;
    }

    /// <summary>What the whole message lacks once it is read to its end, or null.</summary>
    public string? Missing(int readings)
    {
        if (values[0] is null || values[1] is not { } seq)
            return "The message has no boot or no seq (after the base name is put in front); send each once, because they number its readings.";
        if (readings == 0)
            return "The message has no readings; send at least one.";
        return seq + readings - 1 > NumberMax
            ? "The readings of the message are numbered beyond 2^53; send a smaller seq."
            : null;
    }

    private static int IndexOf(ReadOnlySpan<byte> name)
    {
        for (var i = 0; i < Names.Length; i++)
            if (Ascii.Equals(name, Names[i]))
                return i;
        return -1;
    }
}
