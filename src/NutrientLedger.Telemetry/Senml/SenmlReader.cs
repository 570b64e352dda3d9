using System.Buffers;
using System.Text.Json;
using System.Text.Unicode;

namespace NutrientLedger.Telemetry.Senml;

/// <summary>
/// Reads a SenML JSON array record by record and applies the base fields (RFC 8428 sections 4.1 and 4.6). A base name
/// is put in front of the name, a base value or time is added, and a unit replaces its base unit. Numbers are read as
/// IEEE 754 doubles; base and value are added as doubles. Unknown fields are ignored, as section 4.4 asks.
/// </summary>
internal ref struct SenmlReader(ReadOnlySpan<byte> payload)
{
    private const int DepthMax = 8;
    private const int NameBytesMax = 255;

    private static readonly SearchValues<byte> NameBytes = SearchValues.Create(
        "ABCDEFGHIJKLMNOPQRSTUVWXYZabcdefghijklmnopqrstuvwxyz0123456789-:./_"u8
    );

    private readonly ReadOnlySpan<byte> payload = payload;
    private Utf8JsonReader json = new(payload, new JsonReaderOptions { MaxDepth = DepthMax });
    private ReadOnlySpan<byte> baseName;
    private ReadOnlySpan<byte> baseUnit;
    private double baseTime;
    private double? baseValue;

    /// <summary>The current record, set by <see cref="Next"/>.</summary>
    public SenmlRecord Record;

    /// <summary>How many records were begun. Reasons number records from 1.</summary>
    public int Number { get; private set; }

    /// <summary>Why the message cannot be read, or null.</summary>
    public string? Rejection { get; private set; }

    /// <summary>
    /// Moves to the next record. Returns false at the end of the message or when <see cref="Rejection"/> is set.
    /// </summary>
    public bool Next()
    {
        if (Number == 0 && !Start())
            return false;
        json.Read();
        if (json.TokenType == JsonTokenType.EndArray)
        {
            // The JSON reader throws here for anything but white space behind the array.
            json.Read();
            return false;
        }
        Number++;
        return json.TokenType == JsonTokenType.StartObject ? ReadRecord() : Reject("is not a JSON object");
    }

    private bool Start()
    {
        if (!Utf8.IsValid(payload))
            Rejection = "The message is not valid UTF-8.";
        else if (!json.Read() || json.TokenType != JsonTokenType.StartArray)
            Rejection = "The message is not a JSON array of SenML records (RFC 8428).";
        return Rejection is null;
    }

    private bool ReadRecord()
    {
        Record = default;
        var seen = SenmlLabel.Other;
        ReadOnlySpan<byte> name = default;
        ReadOnlySpan<byte> unit = default;
        double time = 0;
        double value = 0;
        while (json.Read() && json.TokenType == JsonTokenType.PropertyName)
        {
            var label = SenmlLabels.Read(in json);
            if ((seen & label) != 0)
                return Reject($"has '{SenmlLabels.Written(label)}' twice");
            if (label == SenmlLabel.Other && json.GetString()!.EndsWith('_'))
                return Reject(
                    "has an unknown field that ends in _ and must be understood (RFC 8428 section 4.4); leave it out"
                );
            seen |= label;
            json.Read();
            ReadOnlySpan<byte> ignoredText = default;
            double ignoredNumber = 0;
            var wrong = label switch
            {
                SenmlLabel.Name => SenmlFields.Text(in json, ref name),
                SenmlLabel.BaseName => SenmlFields.Text(in json, ref baseName),
                SenmlLabel.Unit => SenmlFields.Text(in json, ref unit),
                SenmlLabel.BaseUnit => SenmlFields.Text(in json, ref baseUnit),
                SenmlLabel.Time => SenmlFields.Finite(in json, ref time),
                SenmlLabel.BaseTime => SenmlFields.Finite(in json, ref baseTime),
                SenmlLabel.Value => SenmlFields.Finite(in json, ref value),
                SenmlLabel.BaseValue => SenmlFields.Finite(in json, ref baseValue),
                SenmlLabel.FlagValue => SenmlFields.Flag(in json, ref Record.Flag),
                SenmlLabel.StringValue or SenmlLabel.DataValue => SenmlFields.Text(in json, ref ignoredText),
                SenmlLabel.UpdateTime => SenmlFields.Finite(in json, ref ignoredNumber),
                SenmlLabel.BaseVersion => SenmlFields.Version(in json),
                SenmlLabel.Sum or SenmlLabel.BaseSum =>
                    ": sums over time are not supported; send a meter's running total as a value",
                _ => null,
            };
            if (wrong is not null)
                return Reject($"has a '{SenmlLabels.Written(label)}' {wrong}");
            json.Skip();
        }
        // A long base name in front of thousands of records would cost more memory than the message has bytes.
        if (baseName.Length + name.Length > NameBytesMax)
            return Reject($"has a name of more than {NameBytesMax} bytes");
        Record.Name = baseName.IsEmpty ? name : (byte[])[.. baseName, .. name];
        Record.Unit = (seen & SenmlLabel.Unit) != 0 ? unit : baseUnit;
        Record.Time = baseTime + time;
        Record.Number = baseValue is { } added ? added + value : value;
        return Kind(seen & SenmlLabels.AnyValue) && NameIsSound();
    }

    private bool Kind(SenmlLabel values)
    {
        if (!double.IsFinite(Record.Time) || !double.IsFinite(Record.Number))
            return Reject("has a time or value that is not finite once its base is added");
        Record.Kind = values switch
        {
            SenmlLabel.Value => SenmlValue.Number,
            SenmlLabel.FlagValue => SenmlValue.Flag,
            SenmlLabel.StringValue or SenmlLabel.DataValue => SenmlValue.Text,
            SenmlLabel.Other when baseValue is not null => SenmlValue.Number,
            _ => SenmlValue.None,
        };
        return Record.Kind != SenmlValue.None || Reject("must have exactly one of v, vb, vs and vd");
    }

    private bool NameIsSound() =>
        !Record.Name.IsEmpty
            && !Record.Name.ContainsAnyExcept(NameBytes)
            && char.IsAsciiLetterOrDigit((char)Record.Name[0])
        || Reject("has no name, or a name with characters that RFC 8428 section 4.5.1 does not allow");

    private bool Reject(string what)
    {
        Rejection = $"Record {Number} {what}.";
        return false;
    }
}
