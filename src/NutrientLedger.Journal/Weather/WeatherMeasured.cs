using NutrientLedger.Journal.Definitions;

namespace NutrientLedger.Journal.Weather;

/// <summary>A weather station measured air and rain.</summary>
public sealed record WeatherMeasured(ReadingBatch<WeatherReading> Batch) : IDefinedEvent<WeatherMeasured>
{
    public static EventDefinition<WeatherMeasured> Definition { get; } =
        new BatchDefinition<WeatherMeasured, WeatherReading>(
            "weather_measured",
            new(EventRoute.Stream, "weather"),
            measured => measured.Batch,
            batch => new(batch)
        )
        {
            Changes = EventChanges.Posting,
            Subject = measured => measured.Batch.EquipmentId,
        };
}
