namespace NutrientLedger.Telemetry.Senml;

/// <summary>What kind of value a SenML record carries.</summary>
internal enum SenmlValue
{
    None,
    Number,
    Flag,

    /// <summary>A string or data value: sound, but no channel of ours has one.</summary>
    Text,
}

/// <summary>One SenML record with the base fields applied to it (RFC 8428 section 4.6), its time in seconds since 1970.</summary>
internal ref struct SenmlRecord
{
    public ReadOnlySpan<byte> Name;
    public ReadOnlySpan<byte> Unit;
    public double Time;
    public SenmlValue Kind;
    public double Number;
    public bool Flag;
}
