namespace NutrientLedger.Telemetry.Senml;

/// <summary>The kind of value in a SenML record.</summary>
internal enum SenmlValue
{
    None,
    Number,
    Flag,

    /// <summary>A string or data value: sound SenML, but no channel here uses one.</summary>
    Text,
}

/// <summary>
/// One SenML record with the base fields applied (RFC 8428 section 4.6). Its time is in seconds since 1970.
/// </summary>
internal ref struct SenmlRecord
{
    public ReadOnlySpan<byte> Name;
    public ReadOnlySpan<byte> Unit;
    public double Time;
    public SenmlValue Kind;
    public double Number;
    public bool Flag;
}
