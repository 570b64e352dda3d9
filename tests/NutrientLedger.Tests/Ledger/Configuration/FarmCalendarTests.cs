using NutrientLedger.Journal.Fields;
using NutrientLedger.Ledger.Configuration;

namespace NutrientLedger.Tests.Ledger.Configuration;

public class FarmCalendarTests
{
    [Theory]
    [InlineData("America/Chicago", "2026-04-14T15:59:59Z", "2026-04-14T15:00:00Z")]
    [InlineData("Asia/Kolkata", "2026-04-14T15:29:59Z", "2026-04-14T14:30:00Z")]
    [InlineData("Asia/Kolkata", "2026-04-14T15:30:00Z", "2026-04-14T15:30:00Z")]
    [InlineData("Asia/Kathmandu", "2026-04-14T15:14:59Z", "2026-04-14T14:15:00Z")]
    // On 1 November 2026 Chicago has the hour from 1 to 2 twice: they are two hours.
    [InlineData("America/Chicago", "2026-11-01T06:30:00Z", "2026-11-01T06:00:00Z")]
    [InlineData("America/Chicago", "2026-11-01T07:30:00Z", "2026-11-01T07:00:00Z")]
    // Lord Howe puts its clock back by half an hour at 02:00 (15:00 UTC on 4 April 2026): 01:30 comes again, in the
    // hour from 1 to 2.
    [InlineData("Australia/Lord_Howe", "2026-04-04T14:59:00Z", "2026-04-04T14:00:00Z")]
    [InlineData("Australia/Lord_Howe", "2026-04-04T15:00:00Z", "2026-04-04T14:30:00Z")]
    [InlineData("America/Chicago", "1969-12-31T23:59:59Z", "1969-12-31T23:00:00Z")]
    public void An_hour_starts_when_the_farms_clock_says_so(string zone, string at, string start) =>
        Assert.Equal(
            DateTimeOffset.Parse(start, null).ToUnixTimeSeconds(),
            Calendar(zone).HourStartSeconds(Milliseconds(at))
        );

    [Theory]
    [InlineData("America/Chicago", "2026-03-08", "2026-03-08T06:00:00Z")]
    [InlineData("America/Chicago", "2026-03-09", "2026-03-09T05:00:00Z")]
    [InlineData("Asia/Kolkata", "2026-03-08", "2026-03-07T18:30:00Z")]
    [InlineData("Pacific/Auckland", "2026-01-10", "2026-01-09T11:00:00Z")]
    // Santiago puts its clock forward over midnight: 6 September 2026 begins at 01:00, which is 04:00 UTC.
    [InlineData("America/Santiago", "2026-09-06", "2026-09-06T04:00:00Z")]
    // Havana puts its clock back from 01:00 to 00:00: midnight comes twice, and the day begins with the first.
    [InlineData("America/Havana", "2026-11-01", "2026-11-01T04:00:00Z")]
    public void A_day_begins_at_the_farms_midnight(string zone, string day, string start) =>
        Assert.Equal(Milliseconds(start), Calendar(zone).StartOf(DateOnly.Parse(day, null)));

    [Theory]
    [InlineData(10, 1, "2026-10-01T04:59:59Z", 2026)]
    [InlineData(10, 1, "2026-10-01T05:00:00Z", 2027)]
    [InlineData(1, 1, "2027-01-01T05:59:59Z", 2026)]
    [InlineData(1, 1, "2027-01-01T06:00:00Z", 2027)]
    [InlineData(2, 29, "2027-02-28T12:00:00Z", 2028)]
    [InlineData(2, 29, "2028-02-28T12:00:00Z", 2028)]
    [InlineData(2, 29, "2028-02-29T12:00:00Z", 2029)]
    public void A_season_is_the_year_in_which_its_crop_year_ends(int month, int day, string at, int season) =>
        Assert.Equal(season, Calendar("America/Chicago", month, day).SeasonAt(Milliseconds(at)));

    [Fact]
    public void Each_season_begins_where_the_one_before_ends()
    {
        var calendar = Calendar("America/Chicago");
        Assert.Equal(new(2025, 10, 1), calendar.FirstDayOf(2026));
        Assert.Equal(calendar.StartOf(new(2026, 10, 1)), calendar.EndOf(2026));
    }

    [Fact]
    public void A_pass_over_the_turn_of_the_season_is_split_where_the_season_turns()
    {
        var turn = new DateTimeOffset(2026, 10, 1, 5, 0, 0, TimeSpan.Zero);
        var lines = Some.Posted(
            Some.Configuration(Some.ConfigurationEvents()),
            Some.Batch(new Pass(11) { Start = turn.AddSeconds(-3) }.Drive())
        ).Lines;

        Assert.Equal(90_000, lines.Single(line => line.Key.Season == 2026).Value.VolumeMillilitres);
        Assert.Equal(210_000, lines.Single(line => line.Key.Season == 2027).Value.VolumeMillilitres);
    }

    [Fact]
    public void A_pass_over_a_half_hour_clock_change_is_split_by_the_clock()
    {
        var change = new DateTimeOffset(2026, 4, 4, 15, 0, 0, TimeSpan.Zero);
        var configuration = Some.Configuration([.. Some.ConfigurationEvents(), Some.Farm("Australia/Lord_Howe")]);
        var lines = Some.Posted(
            configuration,
            Some.Batch(new Pass(11) { Start = change.AddSeconds(-3) }.Drive())
        ).Lines;

        Assert.Equal(
            [(change.AddMinutes(-60), 90_000L), (change.AddMinutes(-30), 210_000L)],
            lines
                .OrderBy(line => line.Key.HourStartSeconds)
                .Select(line =>
                    (DateTimeOffset.FromUnixTimeSeconds(line.Key.HourStartSeconds), line.Value.VolumeMillilitres)
                )
        );
    }

    private static FarmCalendar Calendar(string zone, int month = 10, int day = 1) =>
        new(new FarmRegistered("Three Elms", zone, month, day, new(2025, 10, 1), Some.Grid));

    private static long Milliseconds(string at) => DateTimeOffset.Parse(at, null).ToUnixTimeMilliseconds();
}
