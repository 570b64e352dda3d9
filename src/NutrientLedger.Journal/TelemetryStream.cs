namespace NutrientLedger.Journal;

/// <summary>The numbered streams of a piece of equipment. Each numbers its readings on its own.</summary>
public enum TelemetryStream
{
    /// <summary>Liquid manure passing an applicator's meter and sensor on its way to the ground.</summary>
    Spread = 1,

    /// <summary>The liquid level of a pit or tank.</summary>
    Store = 2,

    /// <summary>Air and rain at the farm's weather station.</summary>
    Weather = 3,
}
