using NutrientLedger.Integration.Tests.Farms;
using NutrientLedger.Persistence.Configuration;

namespace NutrientLedger.Integration.Tests.Persistence.Configuration;

public sealed class ConfigurationCacheTests
{
    private static readonly RecordedEvent[] Events =
    [
        .. Some.ConfigurationEvents().Select((@event, i) => new RecordedEvent(10 + i, 1 + i, Some.Morning, @event)),
    ];

    [Fact]
    public void What_another_reader_has_added_is_not_added_again()
    {
        var cache = new ConfigurationCache();
        cache.Add(Some.Farm, Events[..5]);

        Assert.Equal(Events, cache.Add(Some.Farm, Events).Events);
        Assert.Equal(Events, cache.Add(Some.Farm, Events[..3]).Events);

        var newest = cache.Newest(Some.Farm);
        Assert.Equal(Events.Length, newest.Version);
        Assert.Equal("pit", Assert.Single(newest.Configuration.Pits).PitId);
    }

    [Fact]
    public void Readers_at_once_lose_nothing_and_add_nothing_twice()
    {
        var cache = new ConfigurationCache();
        Parallel.For(
            0,
            64,
            reader =>
            {
                while (cache.Newest(Some.Farm).Version is var known && known < Events.Length)
                    cache.Add(Some.Farm, Events[(int)known..(int)Math.Min(known + 1 + (reader % 2), Events.Length)]);
            }
        );
        Assert.Equal(Events, cache.Newest(Some.Farm).Events);
    }
}
