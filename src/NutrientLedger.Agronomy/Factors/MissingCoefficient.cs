using System.Collections.Immutable;
using System.Text.Json.Serialization;
using NutrientLedger.Agronomy.Factors.Conditions;

namespace NutrientLedger.Agronomy.Factors;

/// <summary>Why a set gives no coefficient.</summary>
public enum MissingCause
{
    /// <summary>The set has no coefficient of the kind at all.</summary>
    NoneOfThisKind = 1,

    /// <summary>The set's coefficients depend on circumstances that were not given.</summary>
    NotGiven = 2,

    /// <summary>The source prints none for these circumstances.</summary>
    NotPublished = 3,

    /// <summary>The source prints a range, and nobody chose which end to use.</summary>
    RangeEndNotGiven = 4,

    /// <summary>The yield was counted in another measure than the coefficient's unit.</summary>
    OtherMeasure = 5,
}

/// <summary>
/// A coefficient that a calculation needed and a set could not give, as data: set, name of the kind, cause and
/// circumstances by the names and words of a factor file. What a cause does not need is null or empty.
/// </summary>
public sealed record MissingCoefficient(
    string SetId,
    string Kind,
    ImmutableSortedDictionary<string, string> Circumstances,
    MissingCause Cause
)
{
    /// <summary>The circumstances that were not given, by the names of a factor file.</summary>
    public ImmutableArray<string> NotGiven { get; init; } = [];

    /// <summary>The coefficient that was found and could not be used.</summary>
    public string? Coefficient { get; init; }

    /// <summary>The lower end of the published range, in the coefficient's unit.</summary>
    public double? Low { get; init; }

    /// <summary>The upper end of the published range, in the coefficient's unit.</summary>
    public double? High { get; init; }

    /// <summary>The unit of the coefficient that was found.</summary>
    public string? Unit { get; init; }

    /// <summary>What is missing; of the circumstances it takes those that the kind may depend on.</summary>
    public static MissingCoefficient Of(
        string setId,
        CoefficientKind kind,
        Circumstances circumstances,
        MissingCause cause
    ) => new(setId, kind.Name, Dimensions.Given(circumstances, kind.DependsOn), cause);

    /// <summary>Whether the kind may depend on a circumstance.</summary>
    public bool DependsOn(string dimension) =>
        CoefficientKind.All.Any(kind => kind.Name == Kind && kind.DependsOn.Contains(dimension));

    /// <summary>The cause as a sentence without its full stop.</summary>
    [JsonIgnore]
    public string Reason =>
        Cause switch
        {
            MissingCause.NoneOfThisKind => "the set has no coefficient of this kind",
            MissingCause.NotGiven =>
                $"it depends on what was not given: {string.Join(", ", NotGiven.Select(Dimensions.InASentence))}",
            MissingCause.RangeEndNotGiven =>
                $"{Coefficient} is published as a range, {Plain(Low)} to {Plain(High)}; choose which end to use, or give one value in a set of your own",
            MissingCause.OtherMeasure => $"{Coefficient} is given in {Unit}; count the yield in the same measure",
            _ => "the source gives none for this; add it to a set of your own",
        };

    public bool Equals(MissingCoefficient? other) =>
        other is not null
        && (SetId, Kind, Cause) == (other.SetId, other.Kind, other.Cause)
        && (Coefficient, Low, High, Unit) == (other.Coefficient, other.Low, other.High, other.Unit)
        && Circumstances.SequenceEqual(other.Circumstances)
        && NotGiven.SequenceEqual(other.NotGiven);

    public override int GetHashCode() => HashCode.Combine(SetId, Kind, Cause, Coefficient, Circumstances.Count);

    public override string ToString() => $"{SetId} has no {Kind} for {Dimensions.Describe(Circumstances)}: {Reason}.";

    private static string Plain(double? number) => Factors.Coefficient.Plain(number ?? 0);
}
