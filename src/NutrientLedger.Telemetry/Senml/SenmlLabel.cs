using System.Text;
using System.Text.Json;

namespace NutrientLedger.Telemetry.Senml;

/// <summary>
/// The labels of a SenML record (RFC 8428 section 4.3, table 1). They are bits, so that a repeated label is noticed.
/// </summary>
[Flags]
internal enum SenmlLabel
{
    Other = 0,
    BaseName = 1 << 0,
    BaseTime = 1 << 1,
    BaseUnit = 1 << 2,
    BaseValue = 1 << 3,
    BaseSum = 1 << 4,
    BaseVersion = 1 << 5,
    Name = 1 << 6,
    Unit = 1 << 7,
    Value = 1 << 8,
    StringValue = 1 << 9,
    FlagValue = 1 << 10,
    DataValue = 1 << 11,
    Sum = 1 << 12,
    Time = 1 << 13,
    UpdateTime = 1 << 14,
}

/// <summary>Finds the label at the JSON reader's position.</summary>
internal static class SenmlLabels
{
    /// <summary>The value labels. A record has at most one of them.</summary>
    public const SenmlLabel AnyValue =
        SenmlLabel.Value | SenmlLabel.StringValue | SenmlLabel.FlagValue | SenmlLabel.DataValue;

    // The labels that stand in every record come first.
    private static readonly (byte[] Written, SenmlLabel Label)[] Known =
    [
        ("n"u8.ToArray(), SenmlLabel.Name),
        ("v"u8.ToArray(), SenmlLabel.Value),
        ("u"u8.ToArray(), SenmlLabel.Unit),
        ("t"u8.ToArray(), SenmlLabel.Time),
        ("vb"u8.ToArray(), SenmlLabel.FlagValue),
        ("bt"u8.ToArray(), SenmlLabel.BaseTime),
        ("bn"u8.ToArray(), SenmlLabel.BaseName),
        ("bu"u8.ToArray(), SenmlLabel.BaseUnit),
        ("bv"u8.ToArray(), SenmlLabel.BaseValue),
        ("bs"u8.ToArray(), SenmlLabel.BaseSum),
        ("bver"u8.ToArray(), SenmlLabel.BaseVersion),
        ("vs"u8.ToArray(), SenmlLabel.StringValue),
        ("vd"u8.ToArray(), SenmlLabel.DataValue),
        ("s"u8.ToArray(), SenmlLabel.Sum),
        ("ut"u8.ToArray(), SenmlLabel.UpdateTime),
    ];

    public static SenmlLabel Read(ref readonly Utf8JsonReader json)
    {
        foreach (var (written, label) in Known)
            if (json.ValueTextEquals(written))
                return label;
        return SenmlLabel.Other;
    }

    public static string Written(SenmlLabel label) =>
        Encoding.UTF8.GetString(Array.Find(Known, known => known.Label == label).Written);
}
