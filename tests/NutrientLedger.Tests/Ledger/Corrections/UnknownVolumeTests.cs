using NutrientLedger.Journal;
using NutrientLedger.Journal.Readings;
using NutrientLedger.Journal.Spreading;
using NutrientLedger.Ledger.Corrections;

namespace NutrientLedger.Tests.Ledger.Corrections;

public class UnknownVolumeTests
{
    [Fact]
    public void Intervals_of_unknown_volume_are_stated_before_and_after_their_total_is_void()
    {
        SpreadReading[] readings = [Reading(0, 1_000_000), Reading(1, 0), Reading(2, 1_000_200)];
        var dropped = new ReadingsVoided(
            "v",
            Some.DragLine,
            TelemetryStream.Spread,
            1,
            2,
            2,
            VoidedPart.Total,
            "A sample was dropped",
            "Ada Ash",
            new(1_000_000_000, 200_000)
        );

        var statement = StatementTests.Of(Some.ConfigurationEvents(), dropped, [Some.Batch(readings)]);

        var outside = Assert.Single(statement.Fields, field => field.Field is null);
        Assert.Equal(new StatedAmount(2, 0), outside.Amounts.UnknownIntervals);
        Assert.Null(Assert.Single(statement.Fields, field => field.Field == Some.West).Amounts.UnknownIntervals);

        // Kept by a hub that did not state them, it held the field alone.
        var text = StatementCodec.Encode(statement with { Fields = [.. statement.Fields.Skip(1)] });
        Assert.True(StatementCodec.IsKeptAs(statement, text));
        Assert.True(StatementCodec.IsKeptAs(statement, StatementCodec.Encode(statement)));
        Assert.False(StatementCodec.IsKeptAs(statement with { Farm = "other" }, text));

        static SpreadReading Reading(int second, long litres) =>
            Some.DragLineReading(Some.Morning.AddSeconds(second).ToUnixTimeMilliseconds(), litres * 1_000);
    }
}
