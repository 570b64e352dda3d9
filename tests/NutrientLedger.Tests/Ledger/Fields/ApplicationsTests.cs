using NutrientLedger.Journal.Spreading;
using NutrientLedger.Ledger.Configuration;
using NutrientLedger.Ledger.Fields;

namespace NutrientLedger.Tests.Ledger.Fields;

public class ApplicationsTests
{
    [Fact]
    public void Applications_of_a_field_are_listed_by_farm_day_applicator_and_pit()
    {
        var evening = new DateTimeOffset(2026, 4, 14, 23, 59, 55, TimeSpan.FromHours(-5));
        var method = new SpreadingMethodRecorded(Some.DragLine, null, SpreadingMethod.TrailingShoe, null, Some.Morning);
        var configuration = Some.Configuration([
            .. Some.ConfigurationEvents(),
            Some.Source("south-pit", evening.AddSeconds(8)),
            method,
        ]);
        var accumulator = Some.Posted(
            configuration,
            Some.Batch(new Pass(11) { Start = evening.AddHours(-3) }.Drive()),
            Some.Batch(new Pass(11) { Start = evening }.Drive(), firstSeq: 100)
        );

        var applications = Applications.On(configuration, accumulator.Lines, Some.West, 2026);

        Assert.Equal(
            [(14, Some.Pit, 0.45), (15, Some.Pit, 0.09), (15, "south-pit", 0.06)],
            applications.Select(application =>
                (application.Day.Day, application.PitId, application.Spread.VolumeCubicMetres)
            )
        );
        Assert.Equal((20, 23), (applications[0].FirstHour.Hour, applications[0].LastHour.Hour));
        Assert.All(applications, application => Assert.Equal(method, application.Method));
    }

    [Fact]
    public void Other_fields_and_seasons_and_a_raised_tool_are_no_application()
    {
        var configuration = Some.Configuration(Some.ConfigurationEvents());
        var raised = new Pass(11) { Change = (_, reading) => reading with { Engaged = false } };
        var accumulator = Some.Posted(configuration, Some.Batch(raised.Drive()));

        Assert.Empty(Applications.On(configuration, accumulator.Lines, Some.West, 2026));
        Assert.Empty(Applications.On(configuration, accumulator.Lines, Some.East, 2026));
        Assert.Empty(Applications.On(FarmConfiguration.Empty, accumulator.Lines, Some.West, 2026));
    }
}
