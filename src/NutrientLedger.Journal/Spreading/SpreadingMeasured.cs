using NutrientLedger.Journal.Definitions;

namespace NutrientLedger.Journal.Spreading;

/// <summary>An applicator measured what it was spreading.</summary>
public sealed record SpreadingMeasured(ReadingBatch<SpreadReading> Batch) : IDefinedEvent<SpreadingMeasured>
{
    public static EventDefinition<SpreadingMeasured> Definition { get; } =
        new BatchDefinition<SpreadingMeasured, SpreadReading>(
            "spreading_measured",
            new(EventRoute.Stream, "spread"),
            measured => measured.Batch,
            batch => new(batch)
        )
        {
            Changes = EventChanges.Posting,
            Subject = measured => measured.Batch.EquipmentId,
        };
}
