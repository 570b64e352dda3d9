using NutrientLedger.Journal.Definitions;

namespace NutrientLedger.Journal.Spreading;

/// <summary>How an applicator gets its manure.</summary>
public enum ApplicatorKind
{
    /// <summary>A tool bar fed through a hose dragged over the field.</summary>
    DragLine = 1,

    /// <summary>A tank wagon filled at the pit.</summary>
    TankWagon = 2,
}

/// <summary>What an applicator's flow meter counts.</summary>
public enum MeterCounts
{
    /// <summary>Manure leaving towards the ground.</summary>
    Spreading = 1,

    /// <summary>Manure taken in at the pit. Its volume is drawn, but not placed on a field.</summary>
    Filling = 2,
}

/// <summary>
/// An applicator was registered: its kind, working width in mm and what its meter counts. The meter starts again
/// from 0 at a running total in mL. That total is left out if it never does.
/// </summary>
public sealed record ApplicatorRegistered(
    string ApplicatorId,
    string Name,
    ApplicatorKind Kind,
    int WorkingWidthMillimetres,
    MeterCounts MeterCounts,
    long? MeterModulusMillilitres
) : IDefinedEvent<ApplicatorRegistered>
{
    public static EventDefinition<ApplicatorRegistered> Definition { get; } =
        new("applicator_registered", new(EventRoute.FarmFile, "applicators"))
        {
            Scope = applicator => [new RebuildScope.WorkOf(applicator.ApplicatorId, DateTimeOffset.MinValue)],
            Subject = applicator => applicator.ApplicatorId,
            Key = applicator => EntryKey.TextOf(applicator.ApplicatorId),
        };
}
