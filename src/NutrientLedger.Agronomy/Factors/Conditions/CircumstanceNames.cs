namespace NutrientLedger.Agronomy.Factors.Conditions;

/// <summary>Which end of a published range is taken.</summary>
public enum RangeEnd
{
    Low = 1,
    High = 2,
}

/// <summary>How manure is put on or into the ground, as far as published tables distinguish it.</summary>
public enum ApplicationMethod
{
    Broadcast = 1,
    TrailingHose = 2,
    TrailingShoe = 3,
    OpenSlotInjection = 4,
    ClosedSlotInjection = 5,
    SweepInjection = 6,
    KnifeInjection = 7,
}

/// <summary>The weather in the days after spreading.</summary>
public enum WeatherClass
{
    /// <summary>Not distinguished, or not known.</summary>
    Average = 1,
    CoolWet = 2,
    CoolDry = 3,
    WarmWet = 4,
    WarmDry = 5,
}

/// <summary>The ground that manure is spread on.</summary>
public enum GroundCover
{
    BareSoil = 1,
    ResidueOrForage = 2,
}

/// <summary>The animals that a manure comes from.</summary>
public enum Animal
{
    Beef = 1,
    Dairy = 2,
    Swine = 3,
    Sheep = 4,
    Horse = 5,
    Poultry = 6,
}

/// <summary>Whether manure can be pumped.</summary>
public enum ManureForm
{
    Liquid = 1,
    Solid = 2,
}

/// <summary>What was done to manure before it was spread.</summary>
public enum Treatment
{
    Fresh = 1,
    Composted = 2,
}

/// <summary>What leaves the field at harvest.</summary>
public enum HarvestedPart
{
    Grain = 1,
    Stover = 2,
    Silage = 3,
    Hay = 4,
    WholePlant = 5,
}
