namespace NutrientLedger.Journal.Weather;

/// <summary>A weather station measured air and rain.</summary>
public sealed record WeatherMeasured(ReadingBatch<WeatherReading> Batch) : IJournalEvent;
