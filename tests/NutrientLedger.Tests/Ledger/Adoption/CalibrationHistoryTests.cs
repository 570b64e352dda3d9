using NutrientLedger.Journal.Sampling;
using NutrientLedger.Ledger.Adoption;

namespace NutrientLedger.Tests.Ledger.Adoption;

/// <summary>What became of each adoption; letters are ids, places are counted from 0.</summary>
public class CalibrationHistoryTests
{
    [Fact]
    public void Events_that_adopt_nothing_only_count_as_places()
    {
        var past = CalibrationHistory.Of([Some.Farm(), Adopted("a"), Some.Applicator(), Adopted("b")]).ToArray();

        Assert.Equal([(1, "a"), (3, "b")], past.Select(it => (it.Place, it.Calibration.CalibrationId)));
        Assert.All(past, it => Assert.Equal((null, null), (it.Withdrawal, it.ReplacedAt)));
    }

    [Fact]
    public void The_next_one_under_an_id_replaces_the_one_before()
    {
        var past = CalibrationHistory.Of([ByRule("a"), Adopted("b"), ByRule("a"), ByRule("a")]).ToArray();

        Assert.Equal([2, null, 3, null], past.Select(it => it.ReplacedAt));
    }

    [Fact]
    public void What_was_withdrawn_before_the_next_one_came_was_not_replaced_by_it()
    {
        var taken = new CalibrationWithdrawn("a", "Ada Ash", "No");
        var past = CalibrationHistory.Of([ByRule("a"), taken, ByRule("a")]).ToArray();

        Assert.Equal([(taken, null), (null, null)], past.Select(it => (it.Withdrawal, it.ReplacedAt)));
    }

    [Fact]
    public void A_withdrawal_takes_back_all_that_have_its_id()
    {
        var taken = new CalibrationWithdrawn("a", "Ada Ash", "No");
        var past = CalibrationHistory.Of([ByRule("a"), ByRule("a"), Adopted("b"), taken]).ToArray();

        Assert.Equal([(taken, 1), (taken, null), (null, null)], past.Select(it => (it.Withdrawal, it.ReplacedAt)));
    }

    private static CalibrationAdopted Adopted(string id) =>
        new(id, Some.Sensor, Analyte.Potassium, 1_000_000, 0, Some.Morning, null, null, [], "Ada Ash", "Why not");

    private static CalibrationAdoptedByRule ByRule(string id) =>
        new(new(Some.Sensor, Analyte.Potassium, IsOn: true, 10, 300), Adopted(id));
}
