using NutrientLedger.Journal.Definitions;

namespace NutrientLedger.Journal.Readings;

/// <summary>How readings are to be read whose time was in doubt.</summary>
public enum TimeDecision
{
    /// <summary>The time stands as the device told it.</summary>
    AsMeasured = 1,

    /// <summary>The device's clock was wrong by a known amount.</summary>
    Shifted = 2,

    /// <summary>Nobody can say; the readings stay out of everything that is posted.</summary>
    LeftOut = 3,
}

/// <summary>
/// A person decided how to read readings, given by their numbers (both ends included). <see cref="ShiftMilliseconds"/> is added to their
/// measured times and is 0 unless they are shifted. Of several decisions about a reading the one recorded last holds.
/// </summary>
public sealed record QuestionableTimeDecided(
    string EquipmentId,
    TelemetryStream Stream,
    long Boot,
    long FirstSeq,
    long LastSeq,
    TimeDecision Decision,
    long ShiftMilliseconds,
    string Reason,
    string By
) : IDefinedEvent<QuestionableTimeDecided>
{
    public static EventDefinition<QuestionableTimeDecided> Definition { get; } =
        new("questionable_time_decided", new(EventRoute.Decision, "questionable-times"))
        {
            Scope = ScopeOf,
            Subject = decided => decided.EquipmentId,
        };

    private static IEnumerable<RebuildScope> ScopeOf(QuestionableTimeDecided decided) =>
        decided.Stream switch
        {
            TelemetryStream.Spread => [new RebuildScope.WorkOf(decided.EquipmentId)],
            TelemetryStream.Store => [new RebuildScope.Levels()],
            TelemetryStream.Weather => [],
            _ => [new RebuildScope.Everything()],
        };
}
