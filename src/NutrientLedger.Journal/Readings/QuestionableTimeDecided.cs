using NutrientLedger.Journal.Definitions;

namespace NutrientLedger.Journal.Readings;

/// <summary>How to use readings with a questionable time.</summary>
public enum TimeDecision
{
    /// <summary>The device's time stands.</summary>
    AsMeasured = 1,

    /// <summary>The device's clock was wrong by a known amount.</summary>
    Shifted = 2,

    /// <summary>The right time is unknown. The readings stay out of everything that is posted.</summary>
    LeftOut = 3,
}

/// <summary>
/// A person decided how to use readings, given by their numbers (both ends included). <see cref="ShiftMilliseconds"/>
/// is added to their measured times. It is 0 unless they are shifted. Of several decisions about a reading the one
/// recorded last holds.
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
            TelemetryStream.Spread =>
            [
                new RebuildScope.ReadingsOf(decided.EquipmentId, decided.Boot, decided.FirstSeq, decided.LastSeq),
            ],
            TelemetryStream.Store => [new RebuildScope.Levels()],
            TelemetryStream.Weather => [],
            _ => [new RebuildScope.Everything()],
        };
}
