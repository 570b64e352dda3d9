using NutrientLedger.Agronomy.Units;
using NutrientLedger.Agronomy.Units.Chemistry;
using NutrientLedger.Journal.Sampling;

namespace NutrientLedger.Ledger.Sampling;

/// <summary>
/// The content of one printed value, still in its printed chemical form: of the fresh mass and of the volume. Words say
/// what the report lacks for either.
/// </summary>
internal readonly record struct PrintedContent<T>(FreshContent<T>? Fresh, Concentration<T>? Liquid, string? Lacking)
    where T : INutrient
{
    private const string NoDensity =
        "it is printed per mass and the report gives no density: enter the sample's density";

    private const string NoDensityPerVolume =
        "it is printed per volume and the report gives no density: enter the sample's density";

    private const string NoDryMatter =
        "it is printed on the dry basis and the report gives no dry matter: enter its dry matter or moisture";

    private const string NoSuchBasis = "a content per volume has no dry basis: look at unit and basis again";

    public static PrintedContent<T> Of(PrintedValue printed, DryMatter? dryMatter, Density? density)
    {
        if (PerVolume(printed) is { } liquid)
            return printed.Basis == PrintedBasis.DryMatter
                ? new(null, null, NoSuchBasis)
                : new(
                    density is { } known ? liquid / known : null,
                    liquid,
                    density is null ? NoDensityPerVolume : null
                );
        var share = PerMass(printed);
        if (printed.Basis == PrintedBasis.DryMatter)
        {
            if (dryMatter is not { } solids)
                return new(null, null, NoDryMatter);
            share = new DryContent<T>(share.KilogramsPerKilogram).AsIs(solids);
        }
        return new(share, density is { } dense ? share * dense : null, density is null ? NoDensity : null);
    }

    /// <summary>The same content in another chemical form.</summary>
    public PrintedContent<TOther> As<TOther>()
        where TOther : IFormOf<T> => new(Fresh?.As<TOther>(), Liquid?.As<TOther>(), Lacking);

    /// <summary>
    /// A nutrient is needed per volume, as sensors measure it. A content per mass alone is not enough.
    /// </summary>
    public LabContent Nutrient(Analyte analyte) =>
        new(analyte, Fresh?.KilogramsPerKilogram, Liquid?.KilogramsPerCubicMetre, Liquid is null ? Lacking : null);

    private static Concentration<T>? PerVolume(PrintedValue printed) =>
        printed.Unit switch
        {
            PrintedUnit.KilogramsPerCubicMetre or PrintedUnit.GramsPerLitre => new((double)printed.Value),
            PrintedUnit.MilligramsPerLitre => Concentration<T>.FromMilligramsPerLitre((double)printed.Value),
            PrintedUnit.PoundsPer1000UsGallons => Concentration<T>.FromPoundsPer1000UsGallons((double)printed.Value),
            PrintedUnit.PoundsPer1000ImperialGallons => Concentration<T>.FromPoundsPer1000ImperialGallons(
                (double)printed.Value
            ),
            _ => null,
        };

    private static FreshContent<T> PerMass(PrintedValue printed) =>
        printed.Unit switch
        {
            PrintedUnit.KilogramsPerTonne => FreshContent<T>.FromKilogramsPerTonne((double)printed.Value),
            PrintedUnit.PoundsPerShortTon => FreshContent<T>.FromPoundsPerShortTon((double)printed.Value),
            PrintedUnit.Percent => FreshContent<T>.FromPercent((double)printed.Value),
            PrintedUnit.PartsPerMillion => FreshContent<T>.FromPartsPerMillion((double)printed.Value),
            _ => throw new ArgumentOutOfRangeException(nameof(printed), printed.Unit, "This is a unit per volume."),
        };
}
