using NutrientLedger.Journal.Definitions;

namespace NutrientLedger.Journal.Storage;

/// <summary>A level sensor measured the liquid in a pit.</summary>
public sealed record StorageLevelMeasured(ReadingBatch<LevelReading> Batch) : IDefinedEvent<StorageLevelMeasured>
{
    public static EventDefinition<StorageLevelMeasured> Definition { get; } =
        new BatchDefinition<StorageLevelMeasured, LevelReading>(
            "storage_level_measured",
            new(EventRoute.Stream, "store"),
            measured => measured.Batch,
            batch => new(batch)
        )
        {
            Changes = EventChanges.Posting,
            Subject = measured => measured.Batch.EquipmentId,
        };
}
