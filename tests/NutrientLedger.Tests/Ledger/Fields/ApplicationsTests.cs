using NutrientLedger.Journal.Spreading;
using NutrientLedger.Ledger.Configuration;
using NutrientLedger.Ledger.Fields;

namespace NutrientLedger.Tests.Ledger.Fields;

public class ApplicationsTests
{
    [Fact]
    public void A_field_is_told_by_farm_day_applicator_and_pit()
    {
        var evening = new DateTimeOffset(2026, 4, 14, 23, 59, 55, TimeSpan.FromHours(-5));
        var method = new SpreadingMethodRecorded(Some.DragLine, null, SpreadingMethod.TrailingShoe, null, Some.Morning);
        var register = Some.Register([.. Some.Entries(), Some.Source("south-pit", evening.AddSeconds(8)), method]);
        var book = Some.Posted(
            register,
            Some.Pack(new Pass(11) { Start = evening.AddHours(-3) }.Drive()),
            Some.Pack(new Pass(11) { Start = evening }.Drive(), firstSeq: 100)
        );

        var told = Applications.On(register, book.Lines, Some.West, 2026);

        Assert.Equal(
            [(14, Some.Pit, 0.45), (15, Some.Pit, 0.09), (15, "south-pit", 0.06)],
            told.Select(application => (application.Day.Day, application.PitId, application.Spread.VolumeCubicMetres))
        );
        Assert.Equal((20, 23), (told[0].FirstHour.Hour, told[0].LastHour.Hour));
        Assert.All(told, application => Assert.Equal(method, application.Method));
    }

    [Fact]
    public void Other_fields_and_seasons_and_a_raised_tool_are_no_application()
    {
        var register = Some.Register(Some.Entries());
        var raised = new Pass(11) { Change = (_, reading) => reading with { Engaged = false } };
        var book = Some.Posted(register, Some.Pack(raised.Drive()));

        Assert.Empty(Applications.On(register, book.Lines, Some.West, 2026));
        Assert.Empty(Applications.On(register, book.Lines, Some.East, 2026));
        Assert.Empty(Applications.On(FarmConfiguration.Empty, book.Lines, Some.West, 2026));
    }
}
