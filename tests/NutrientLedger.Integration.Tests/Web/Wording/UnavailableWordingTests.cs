using System.Collections.Immutable;
using NutrientLedger.Agronomy.Factors;
using NutrientLedger.Agronomy.Factors.Conditions;
using NutrientLedger.Ledger.Fields;
using NutrientLedger.Web.Wording;

namespace NutrientLedger.Integration.Tests.Web.Wording;

/// <summary>Why an amount is unknown, in a sentence from its code and data.</summary>
public class UnavailableWordingTests
{
    private static readonly MissingCoefficient Missing = MissingCoefficient.Of(
        "alberta-2007",
        CoefficientKind.AmmoniumRetained,
        new() { WorkedInAfterHours = 200, Form = ManureForm.Liquid },
        MissingCause.NotPublished
    );

    public static TheoryData<UnavailableReason, string> Reasons =>
        new()
        {
            { new NoFactorSetChosen(), "no availability set chosen" },
            { new UnknownFactorSet("x"), "the availability set x is not known to this hub" },
            { new NoBoundary(), "the field has no boundary in this season" },
            { new LedgerTooYoung(new(2025, 10, 1)), "the ledger begins only on 2025-10-01" },
            { new FormsMeasuredApart(), "total and ammonium nitrogen were measured in different volumes" },
            {
                new NoCoefficient(Missing, null),
                "alberta-2007 has no ammonium-retained for liquid, worked in after 200 h: the source gives none for this; add it to a set of your own"
            },
            {
                new NoCoefficient(Missing, new("dragline-1", new(2026, 4, 14, 10, 0, 0, TimeSpan.FromHours(-5)))),
                "no spreading method is recorded for dragline-1 at 2026-04-14 10:00, and alberta-2007 has no ammonium-retained for liquid, worked in after 200 h: the source gives none for this; add it to a set of your own"
            },
        };

    [Theory]
    [MemberData(nameof(Reasons))]
    public void Every_reason_has_a_sentence(UnavailableReason reason, string words) =>
        Assert.Equal(words, UnavailableWording.Of(Unavailable.For(reason)));

    [Fact]
    public void Reasons_stand_in_a_row_and_the_rest_is_counted()
    {
        ImmutableArray<UnavailableReason> reasons = [new NoBoundary(), new FormsMeasuredApart()];

        Assert.Equal(
            "the field has no boundary in this season; total and ammonium nitrogen were measured in different volumes; and 4 more of this kind",
            UnavailableWording.Of(new(reasons, 4))
        );
        Assert.Null(UnavailableWording.Of(null));
    }
}
