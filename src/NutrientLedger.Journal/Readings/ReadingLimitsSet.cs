using System.Collections.Immutable;
using NutrientLedger.Journal.Definitions;

namespace NutrientLedger.Journal.Readings;

/// <summary>What a limit applies to, in the unit of the reading's column.</summary>
public enum LimitedQuantity
{
    /// <summary>Parts per million of fresh mass.</summary>
    DryMatter = 1,

    /// <summary>mg/L.</summary>
    TotalNitrogen = 2,

    /// <summary>mg/L.</summary>
    AmmoniumNitrogen = 3,

    /// <summary>mg/L, elemental.</summary>
    Phosphorus = 4,

    /// <summary>mg/L, elemental.</summary>
    Potassium = 5,

    /// <summary>mL/s while the tool is engaged.</summary>
    FlowWhileEngaged = 6,

    /// <summary>mL/s while the tool is not engaged.</summary>
    FlowWhileDisengaged = 7,

    /// <summary>mm/s while the tool is engaged.</summary>
    Speed = 8,

    /// <summary>mm while the tool is engaged.</summary>
    Width = 9,
}

/// <summary>
/// A value below <see cref="Min"/> or above <see cref="Max"/> is implausible. An end may be open. The mark says where
/// the limit comes from.
/// </summary>
public sealed record ReadingLimit(LimitedQuantity Quantity, long? Min, long? Max, string Mark);

/// <summary>
/// From a moment on readings outside these limits are flagged. The limits hold for one device, or for the whole farm
/// where none is named. A device's own limits replace all those of the farm.
/// </summary>
public sealed record ReadingLimitsSet(
    string? EquipmentId,
    DateTimeOffset ValidFrom,
    ImmutableArray<ReadingLimit> Limits
) : IDefinedEvent<ReadingLimitsSet>
{
    public static EventDefinition<ReadingLimitsSet> Definition { get; } =
        new("reading_limits_set", new(EventRoute.FarmFile, "limits"))
        {
            Scope = limits => [new RebuildScope.WorkOf(limits.EquipmentId, limits.ValidFrom)],
            Subject = limits => limits.EquipmentId,
            Key = limits => EntryKey.TextOf(limits.EquipmentId, limits.ValidFrom),
        };

    public bool Equals(ReadingLimitsSet? other) =>
        other is not null
        && EquipmentId == other.EquipmentId
        && ValidFrom == other.ValidFrom
        && Limits.SequenceEqual(other.Limits);

    public override int GetHashCode() => HashCode.Combine(EquipmentId, ValidFrom, Limits.Length);
}
