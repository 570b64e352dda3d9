using System.Text;

namespace NutrientLedger.Telemetry.Channels;

/// <summary>
/// One record name of a stream. It has a unit from the IANA SenML units registry and a scale that makes its values
/// whole numbers. It also has the least and greatest value that a machine of its kind can mean. The limits only keep
/// out impossible values; they are common practice, no source.
/// </summary>
internal sealed class Channel(
    string name,
    string unit,
    double scale,
    double min,
    double max,
    ValuesBelowZero belowZero = ValuesBelowZero.Rejected
)
{
    // Noise near zero reaches down to this part of the range's upper end (common practice, no source).
    private const double NearZero = 0.02;

    private readonly byte[] nameBytes = Encoding.UTF8.GetBytes(name);
    private readonly byte[] unitBytes = Encoding.UTF8.GetBytes(unit);

    /// <summary>A true-or-false channel, which has neither unit nor limits.</summary>
    public static Channel Flag(string name) => new(name, "", 1, 0, 1);

    public string Name => name;

    public string Unit => unit;

    public bool IsFlag => unit.Length == 0;

    public double Min => min;

    public double Max => max;

    public bool HasName(ReadOnlySpan<byte> other) => other.SequenceEqual(nameBytes);

    public bool HasUnit(ReadOnlySpan<byte> other) => other.SequenceEqual(unitBytes);

    public bool Allows(double value) => value <= max && (value >= min || belowZero != ValuesBelowZero.Rejected);

    /// <summary>
    /// The value as a whole number, or null when it lies so far below zero that it is left out. It is rounded only
    /// here, half away from zero.
    /// </summary>
    public long? Scaled(double value) =>
        value >= min ? Rounded(value)
        : value < -NearZero * max ? null
        : belowZero switch
        {
            ValuesBelowZero.Kept => Rounded(value),
            ValuesBelowZero.Zero => 0,
            _ => null,
        };

    private long Rounded(double value) => (long)Math.Round(value * scale, MidpointRounding.AwayFromZero);
}
