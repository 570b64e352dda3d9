using System.Text.Json;

namespace NutrientLedger.Telemetry;

/// <summary>The labels of a SenML record (RFC 8428 section 4.3, table 1), as bits so that a repeated one is noticed.</summary>
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

/// <summary>Recognises the label at which a JSON reader stands.</summary>
internal static class SenmlLabels
{
    /// <summary>The labels of which a record has at most one.</summary>
    public const SenmlLabel AnyValue =
        SenmlLabel.Value | SenmlLabel.StringValue | SenmlLabel.FlagValue | SenmlLabel.DataValue;

    // The labels that stand in every record come first.
    private static readonly (string Written, SenmlLabel Label)[] Known =
    [
        ("n", SenmlLabel.Name),
        ("v", SenmlLabel.Value),
        ("u", SenmlLabel.Unit),
        ("t", SenmlLabel.Time),
        ("vb", SenmlLabel.FlagValue),
        ("bt", SenmlLabel.BaseTime),
        ("bn", SenmlLabel.BaseName),
        ("bu", SenmlLabel.BaseUnit),
        ("bv", SenmlLabel.BaseValue),
        ("bs", SenmlLabel.BaseSum),
        ("bver", SenmlLabel.BaseVersion),
        ("vs", SenmlLabel.StringValue),
        ("vd", SenmlLabel.DataValue),
        ("s", SenmlLabel.Sum),
        ("ut", SenmlLabel.UpdateTime),
    ];

    public static SenmlLabel Read(ref readonly Utf8JsonReader json)
    {
        foreach (var (written, label) in Known)
            if (json.ValueTextEquals(written))
                return label;
        return SenmlLabel.Other;
    }

    public static string Written(SenmlLabel label) => Array.Find(Known, known => known.Label == label).Written;
}
