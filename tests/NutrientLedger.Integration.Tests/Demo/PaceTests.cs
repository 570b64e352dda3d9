using NutrientLedger.Demo;

namespace NutrientLedger.Integration.Tests.Demo;

public class PaceTests
{
    private const long Morning = 1_776_780_000_000;

    [Fact]
    public async Task The_played_time_begins_with_the_work_and_never_goes_back()
    {
        var pace = new Pace(TimeProvider.System, 100_000, [Morning, Morning + 5_000]);
        Assert.Equal(Morning, pace.ReachedMilliseconds);
        await pace.WaitForAsync(Morning + 5_000, CancellationToken.None);
        Assert.Equal(Morning + 5_000, pace.ReachedMilliseconds);
        await pace.WaitForAsync(Morning + 1_000, CancellationToken.None);
        Assert.Equal(Morning + 5_000, pace.ReachedMilliseconds);
    }
}
