using System.Collections.Immutable;
using System.Text.Json.Serialization;
using NutrientLedger.Agronomy.Factors;

namespace NutrientLedger.Ledger.Fields;

/// <summary>Why an amount cannot be computed: the first reasons, and how many more of their kind there are.</summary>
public sealed record Unavailable(ImmutableArray<UnavailableReason> Reasons, int More = 0)
{
    /// <summary>An amount that lacks for one reason alone.</summary>
    public static Unavailable For(UnavailableReason reason) => new([reason]);

    public bool Equals(Unavailable? other) =>
        other is not null && More == other.More && Reasons.SequenceEqual(other.Reasons);

    public override int GetHashCode() => HashCode.Combine(More, Reasons.Length);
}

/// <summary>One reason why an amount cannot be computed: a code and what it is about, without words.</summary>
[JsonPolymorphic(TypeDiscriminatorPropertyName = "code")]
[JsonDerivedType(typeof(NoFactorSetChosen), "noFactorSetChosen")]
[JsonDerivedType(typeof(UnknownFactorSet), "unknownFactorSet")]
[JsonDerivedType(typeof(NoBoundary), "noBoundary")]
[JsonDerivedType(typeof(LedgerTooYoung), "ledgerTooYoung")]
[JsonDerivedType(typeof(FormsMeasuredApart), "formsMeasuredApart")]
[JsonDerivedType(typeof(NoCoefficient), "noCoefficient")]
public abstract record UnavailableReason;

/// <summary>The farm chose no factor set for the season.</summary>
public sealed record NoFactorSetChosen : UnavailableReason;

/// <summary>This hub does not know the factor set that the farm chose.</summary>
public sealed record UnknownFactorSet(string FactorSet) : UnavailableReason;

/// <summary>The field has no boundary in the season.</summary>
public sealed record NoBoundary : UnavailableReason;

/// <summary>The ledger begins only on a day after the seasons that are asked about.</summary>
public sealed record LedgerTooYoung(DateOnly Begins) : UnavailableReason;

/// <summary>Total and ammonium nitrogen were measured in different volumes.</summary>
public sealed record FormsMeasuredApart : UnavailableReason;

/// <summary>
/// The factor set gives no coefficient. The method is named where none is recorded and the coefficient may need it.
/// </summary>
public sealed record NoCoefficient(MissingCoefficient Missing, UnrecordedMethod? Method) : UnavailableReason;

/// <summary>An applicator and an hour (its beginning, farm time) for which no spreading method is recorded.</summary>
public sealed record UnrecordedMethod(string Applicator, DateTimeOffset Hour);
