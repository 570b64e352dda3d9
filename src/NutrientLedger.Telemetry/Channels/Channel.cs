using System.Text;

namespace NutrientLedger.Telemetry.Channels;

/// <summary>
/// One record name of a stream: the unit it must have (a name of the IANA SenML units registry), by how much its value is
/// multiplied to become a whole number, and the least and most a machine of its kind can mean. The limits only keep out what
/// cannot be true; they are common practice, no source.
/// </summary>
internal sealed class Channel(string name, string unit, double scale, double min, double max)
{
    private readonly byte[] nameBytes = Encoding.UTF8.GetBytes(name);
    private readonly byte[] unitBytes = Encoding.UTF8.GetBytes(unit);

    /// <summary>A channel that is true or false and so has neither unit nor limits.</summary>
    public static Channel Flag(string name) => new(name, "", 1, 0, 1);

    public string Name => name;

    public string Unit => unit;

    public bool IsFlag => unit.Length == 0;

    public double Min => min;

    public double Max => max;

    public bool HasName(ReadOnlySpan<byte> other) => other.SequenceEqual(nameBytes);

    public bool HasUnit(ReadOnlySpan<byte> other) => other.SequenceEqual(unitBytes);

    public bool Allows(double value) => value >= min && value <= max;

    /// <summary>The value as a whole number: rounded here once and never again, half away from zero.</summary>
    public long Scaled(double value) => (long)Math.Round(value * scale, MidpointRounding.AwayFromZero);
}
