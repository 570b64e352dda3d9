using NutrientLedger.Journal.Definitions;

namespace NutrientLedger.Journal.Readings;

/// <summary>The part of a reading that is void.</summary>
public enum VoidedPart
{
    /// <summary>The whole reading. It breaks the run, as if it had never been.</summary>
    Reading = 1,

    /// <summary>Only its contents (dry matter and nutrients). Volume and place stay.</summary>
    Composition = 2,

    /// <summary>Only its liquid level.</summary>
    Level = 3,

    /// <summary>Only the running total of its meter. Others take its place: see <see cref="MeteredAcross"/>.</summary>
    Total = 4,
}

/// <summary>
/// What a meter counted across readings with void totals, in mL: its total at the reading before them, and what ran
/// from there to the reading after them. In between the total grows evenly from number to number.
/// </summary>
public sealed record MeteredAcross(long TotalBeforeMillilitres, long RanMillilitres);

/// <summary>
/// Readings that a person voided, by their numbers, both ends included. Nothing is deleted: they stay in the
/// journal and count again when the void is withdrawn. <see cref="VoidId"/> is unique among the voids of the farm.
/// <see cref="Across"/> is there when their totals are void.
/// </summary>
public sealed record ReadingsVoided(
    string VoidId,
    string EquipmentId,
    TelemetryStream Stream,
    long Boot,
    long FirstSeq,
    long LastSeq,
    VoidedPart Part,
    string Reason,
    string By,
    MeteredAcross? Across = null
) : IDefinedEvent<ReadingsVoided>
{
    public static EventDefinition<ReadingsVoided> Definition { get; } =
        new("readings_voided", new(EventRoute.Decision, "voids"))
        {
            Scope = ScopeOf,
            Subject = voided => voided.VoidId,
        };

    private static IEnumerable<RebuildScope> ScopeOf(ReadingsVoided voided) =>
        voided.Stream switch
        {
            TelemetryStream.Spread =>
            [
                new RebuildScope.ReadingsOf(voided.EquipmentId, voided.Boot, voided.FirstSeq, voided.LastSeq),
            ],
            TelemetryStream.Store => [new RebuildScope.Levels()],
            TelemetryStream.Weather => [],
            _ => [new RebuildScope.Everything()],
        };
}
