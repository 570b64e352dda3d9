namespace NutrientLedger.Agronomy.Factors.Conditions;

/// <summary>
/// What is known about an application or a harvest when a coefficient is looked up. Unknown circumstances are null. A
/// coefficient that depends on one of them is then not used.
/// </summary>
public sealed record Circumstances
{
    /// <summary>Manure that is never incorporated.</summary>
    public const double Never = double.PositiveInfinity;

    public Animal? Animal { get; init; }

    public Treatment? Treatment { get; init; }

    public ManureForm? Form { get; init; }

    /// <summary>Dry matter of the manure, percent of its fresh mass.</summary>
    public double? DryMatterPercent { get; init; }

    public ApplicationMethod? Method { get; init; }

    /// <summary>Hours until the manure is incorporated; <see cref="Never"/> when it is not.</summary>
    public double? WorkedInAfterHours { get; init; }

    public GroundCover? Cover { get; init; }

    public WeatherClass? Weather { get; init; }

    /// <summary>1 is the year of application, 2 the year after it.</summary>
    public int? Year { get; init; }

    public string? Crop { get; init; }

    public HarvestedPart? Part { get; init; }

    /// <summary>The end to take of a published range. Without it, a coefficient with a range is not used.</summary>
    public RangeEnd? RangeEnd { get; init; }

    internal string? Word(string dimension) =>
        dimension switch
        {
            "animal" => Spelled(Animal),
            "treatment" => Spelled(Treatment),
            "form" => Spelled(Form),
            "method" => Spelled(Method),
            "cover" => Spelled(Cover),
            "weather" => Spelled(Weather),
            "crop" => Crop,
            "part" => Spelled(Part),
            _ => null,
        };

    internal double? Number(string dimension) =>
        dimension switch
        {
            "dryMatterPercent" => DryMatterPercent,
            "workedInHours" => WorkedInAfterHours,
            "year" => Year,
            _ => null,
        };

    private static string? Spelled<T>(T? name)
        where T : struct, Enum => name is { } given ? Words.Of(given) : null;
}
