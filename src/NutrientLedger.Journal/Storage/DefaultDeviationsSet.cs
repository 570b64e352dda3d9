using System.Collections.Immutable;
using NutrientLedger.Journal.Definitions;

namespace NutrientLedger.Journal.Storage;

/// <summary>A measurement at a pit. A farm may set its own standard deviation instead of the default.</summary>
public enum PitMeasurement
{
    /// <summary>Millionths of a millimetre of level.</summary>
    LevelSensor = 1,

    /// <summary>Millionths of a millimetre of depth.</summary>
    Tape = 2,

    /// <summary>Millionths of the volume drawn down. The same unit holds for all that follow unless stated.</summary>
    PitShape = 3,

    FlowMeter = 4,

    SetRate = 5,

    HandLoads = 6,

    Transfer = 7,

    DailyInflow = 8,

    MeasuredInflow = 9,

    Rain = 10,

    Evaporation = 11,

    /// <summary>Millionths of a millimetre of depth a day, where it was not measured.</summary>
    EvaporationUnmeasured = 12,
}

/// <summary>One standard deviation in millionths of the measurement's unit, and the farm's source for it.</summary>
public sealed record OwnDeviation(PitMeasurement Of, long Millionths, string KnownFrom);

/// <summary>
/// From a day on (00:00 farm time) a farm uses these errors where a measurement states none of its own. They hold at
/// one pit, or at all where none is named. A set replaces the whole earlier one of the same pit, or of all.
/// </summary>
public sealed record DefaultDeviationsSet(string? PitId, DateOnly ValidFrom, ImmutableArray<OwnDeviation> Deviations)
    : IDefinedEvent<DefaultDeviationsSet>
{
    public static EventDefinition<DefaultDeviationsSet> Definition { get; } =
        new("default_deviations_set", new(EventRoute.FarmFile, "deviations"))
        {
            Changes = EventChanges.Nothing,
            Subject = deviations => deviations.PitId,
            Key = deviations => EntryKey.TextOf(deviations.PitId, deviations.ValidFrom),
        };

    public bool Equals(DefaultDeviationsSet? other) =>
        other is not null
        && PitId == other.PitId
        && ValidFrom == other.ValidFrom
        && Deviations.SequenceEqual(other.Deviations);

    public override int GetHashCode() => HashCode.Combine(PitId, ValidFrom, Deviations.Length);
}
