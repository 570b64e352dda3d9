using NutrientLedger.Journal.Sampling;
using NutrientLedger.Ledger.Adoption;
using NutrientLedger.Ledger.Configuration;

namespace NutrientLedger.Tests.Ledger.Adoption;

/// <summary>Whether a calibration may be withdrawn; the invented farm adopted n-2026.</summary>
public class WithdrawalCheckTests
{
    private static readonly FarmConfiguration Farm = Some.Configuration(
        new CalibrationAdopted(
            "n-2026",
            Some.Sensor,
            Analyte.TotalNitrogen,
            900_000,
            0,
            Some.Morning,
            null,
            null,
            [],
            "Ada Ash",
            "Laboratory finds less"
        )
    );

    [Fact]
    public void What_is_in_force_is_withdrawn_with_who_and_why()
    {
        var sound = WithdrawalCheck.Of("n-2026", "Ada Ash", "Samples mixed up", Farm);

        Assert.Equal(new("n-2026", "Ada Ash", "Samples mixed up"), sound.Withdrawal);
        Assert.Null(sound.Problem);
    }

    [Fact]
    public void Without_who_or_why_it_stays()
    {
        Assert.Equal(new(null, WithdrawalProblem.NameMissing), WithdrawalCheck.Of("n-2026", " ", "x", Farm));
        Assert.Equal(new(null, WithdrawalProblem.ReasonMissing), WithdrawalCheck.Of("n-2026", "x", null, Farm));
    }

    [Fact]
    public void What_is_unknown_or_withdrawn_before_is_not_in_force()
    {
        var taken = Farm.With(new CalibrationWithdrawn("n-2026", "Ada Ash", "Samples mixed up"));

        Assert.Equal(WithdrawalProblem.NotInForce, WithdrawalCheck.Of("n-2025", "x", "x", Farm).Problem);
        Assert.Equal(WithdrawalProblem.NotInForce, WithdrawalCheck.Of("n-2026", "x", "x", taken).Problem);
    }
}
