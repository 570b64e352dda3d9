using System.Collections.Immutable;

namespace NutrientLedger.Agronomy.Factors;

/// <summary>
/// A kind of coefficient that a calculation can ask for: its meaning, its allowed units and the greatest value that
/// makes sense. It also lists the circumstances it may depend on and those its condition must name.
/// </summary>
public sealed record CoefficientKind(
    string Name,
    string Meaning,
    ImmutableArray<string> Units,
    double Max,
    ImmutableArray<string> DependsOn,
    ImmutableArray<string> MustName
)
{
    private static readonly ImmutableArray<string> Manure = ["animal", "treatment", "form", "dryMatterPercent"];

    private static readonly ImmutableArray<string> Spreading =
    [
        .. Manure,
        "method",
        "workedInHours",
        "cover",
        "weather",
    ];

    private static readonly ImmutableArray<string> Harvest = ["crop", "part"];

    private static readonly ImmutableArray<string> PerYield =
    [
        RemovalUnit.PoundsPerBushel,
        RemovalUnit.PoundsPerShortTon,
        RemovalUnit.PoundsPerShortTonDry,
        RemovalUnit.KilogramsPerTonne,
        RemovalUnit.PercentOfFreshMass,
        RemovalUnit.PercentOfDryMatter,
    ];

    public static CoefficientKind AmmoniumRetained { get; } =
        Share("ammonium-retained", "ammonium nitrogen that is not lost as ammonia", "of ammonium N", Spreading);

    public static CoefficientKind OrganicNitrogenAvailable { get; } =
        Yearly("organic-nitrogen-available", "organic nitrogen that mineralises in the year", "of organic N", Manure);

    public static CoefficientKind TotalNitrogenKept { get; } =
        Share("total-nitrogen-kept", "total nitrogen that is not lost at spreading", "of total N", Spreading);

    public static CoefficientKind TotalNitrogenAvailable { get; } =
        Yearly("total-nitrogen-available", "total nitrogen that a crop can use in the year", "of total N", Spreading);

    public static CoefficientKind AmmoniumShare { get; } =
        Share(
            "ammonium-share",
            "the part of total nitrogen that is ammonium, where it was not analysed",
            "of total N",
            Manure
        );

    public static CoefficientKind PhosphorusAvailable { get; } =
        Yearly("phosphorus-available", "phosphorus that a crop can use in the year", "of total P", Manure);

    public static CoefficientKind PotassiumAvailable { get; } =
        Yearly("potassium-available", "potassium that a crop can use in the year", "of total K", Manure);

    public static CoefficientKind NitrogenRemoved { get; } =
        Removed("nitrogen-removed", "nitrogen taken off with the crop");

    public static CoefficientKind P2O5Removed { get; } =
        Removed("p2o5-removed", "phosphorus, as P2O5, taken off with the crop");

    public static CoefficientKind K2ORemoved { get; } =
        Removed("k2o-removed", "potassium, as K2O, taken off with the crop");

    public static CoefficientKind BushelWeight { get; } =
        new("bushel-weight", "what a bushel of the crop weighs", ["lb/bu"], double.MaxValue, Harvest, ["crop"]);

    public static CoefficientKind StandardDryMatter { get; } =
        new(
            "standard-dry-matter",
            "the dry matter at which the crop is weighed or sold",
            ["%"],
            100,
            Harvest,
            ["crop"]
        );

    public static CoefficientKind ProteinPerNitrogen { get; } =
        new("protein-per-nitrogen", "crude protein per unit of nitrogen", ["kg/kg"], double.MaxValue, Harvest, []);

    /// <summary>All kinds, in the order in which they are explained.</summary>
    public static ImmutableArray<CoefficientKind> All { get; } =
    [
        AmmoniumRetained,
        OrganicNitrogenAvailable,
        AmmoniumShare,
        TotalNitrogenKept,
        TotalNitrogenAvailable,
        PhosphorusAvailable,
        PotassiumAvailable,
        NitrogenRemoved,
        P2O5Removed,
        K2ORemoved,
        BushelWeight,
        StandardDryMatter,
        ProteinPerNitrogen,
    ];

    private static CoefficientKind Share(string name, string meaning, string unit, ImmutableArray<string> dependsOn) =>
        new(name, meaning, [unit], 1, dependsOn, []);

    private static CoefficientKind Yearly(string name, string meaning, string unit, ImmutableArray<string> dependsOn) =>
        new(name, meaning, [unit], 1, [.. dependsOn, "year"], ["year"]);

    private static CoefficientKind Removed(string name, string meaning) =>
        new(name, meaning, PerYield, double.MaxValue, Harvest, ["crop", "part"]);
}
